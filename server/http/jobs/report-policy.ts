import { createHash } from 'node:crypto';

/**
 * What a report page may do: be read, with its one style and the pictures inside it. No script, nothing from elsewhere.
 * @param page as `makeReport` makes it: its style comes before everything that a person typed
 */
export function reportPolicy(page: string): string {
  const style = /<style>([^<]*)<\/style>/.exec(page)?.[1] ?? '';
  const hash = createHash('sha256').update(style).digest('base64');
  return [
    "default-src 'none'",
    `style-src 'sha256-${hash}'`,
    'img-src data:',
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
  ].join('; ');
}
