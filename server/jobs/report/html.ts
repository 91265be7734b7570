/** Markup that was put together by `html`, everything in it escaped. */
export class Html {
  readonly text: string;

  constructor(text: string) {
    this.text = text;
  }
}

export type HtmlValue = string | number | null | Html | readonly HtmlValue[];

/** A template whose values are escaped; markup of our own and lists of it go in as they are, null as nothing. */
export function html(pieces: TemplateStringsArray, ...values: readonly HtmlValue[]): Html {
  let text = pieces[0]!;
  for (const [index, value] of values.entries()) text += markup(value) + pieces[index + 1]!;
  return new Html(text);
}

function markup(value: HtmlValue): string {
  if (value === null) return '';
  if (value instanceof Html) return value.text;
  if (typeof value === 'object') return value.map(markup).join('');
  return escaped(String(value));
}

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

function escaped(text: string): string {
  return text.replace(/[&<>"']/g, (character) => ENTITIES[character]!);
}
