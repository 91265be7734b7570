import Type from 'typebox';

/** The schema's own values, or null for 'not known'. */
export const nullable = <T extends Type.TSchema>(schema: T) => Type.Union([schema, Type.Null()]);
