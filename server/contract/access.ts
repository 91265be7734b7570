/** Who may do what: bodies of `/api/access`. Roles of devices that the person let in, and the instrument's own screen. */
import Type, { type Static } from 'typebox';

/** What a device that was let in may do: only look, or everything that is not kept to the instrument's own screen. */
export const DeviceRole = Type.Union([Type.Literal('view'), Type.Literal('operate')]);
export type DeviceRole = Static<typeof DeviceRole>;

/** `instrument` is a browser on the computer that the program runs on, `none` a device that was not let in. */
export const Role = Type.Union([Type.Literal('none'), DeviceRole, Type.Literal('instrument')]);
export type Role = Static<typeof Role>;

/** Digits of a code. NIST SP 800-63B, 5.1.3.2: at least 20 bits, typically six digits, with a limit on tries. */
export const CODE_DIGITS = 6;
export const MAX_DEVICE_NAME = 40;

/** `GET /api/access/me`: what the device that asks may do. Anyone may ask. */
export const Me = Type.Object({ role: Role });
export type Me = Static<typeof Me>;

/** `POST /api/access/let-in`: a device hands in the code. Answers `Me` and a cookie. */
export const LetIn = Type.Object(
  {
    code: Type.String({ pattern: `^[0-9]{${CODE_DIGITS}}$` }),
    /** What the list on the instrument calls the device. */
    name: Type.String({ minLength: 1, maxLength: MAX_DEVICE_NAME, pattern: '\\S' }),
  },
  { additionalProperties: false },
);
export type LetIn = Static<typeof LetIn>;

/** `POST /api/access/offer`: the person wants to let a device in. Answers `AccessState`. */
export const OfferStart = Type.Object({ role: DeviceRole }, { additionalProperties: false });
export type OfferStart = Static<typeof OfferStart>;

export const LetInDevice = Type.Object({
  id: Type.String(),
  name: Type.String(),
  role: DeviceRole,
  letInAtMs: Type.Number(),
  lastSeenAtMs: Type.Number(),
  /** Whether a screen of it is connected now. */
  connected: Type.Boolean(),
});
export type LetInDevice = Static<typeof LetInDevice>;

/** `GET /api/access`, for the instrument's own screen alone. */
export const AccessState = Type.Object({
  /** Where other devices find the program; null when it was started without `--lan`. */
  lan: Type.Union([
    Type.Null(),
    Type.Object({
      addresses: Type.Array(Type.String()),
      /** SHA-256 of the certificate in hexadecimal pairs, or null without TLS. */
      fingerprint: Type.Union([Type.String(), Type.Null()]),
    }),
  ]),
  offer: Type.Union([
    Type.Null(),
    Type.Object({ code: Type.String(), role: DeviceRole, leftS: Type.Number(), wrongTries: Type.Number() }),
  ]),
  /** How the last code ended, or null where none did yet or one is shown now. */
  lastOffer: Type.Union([
    Type.Null(),
    Type.Literal('used'),
    Type.Literal('run-out'),
    Type.Literal('guessed-at'),
    Type.Literal('withdrawn'),
  ]),
  devices: Type.Array(LetInDevice),
});
export type AccessState = Static<typeof AccessState>;
