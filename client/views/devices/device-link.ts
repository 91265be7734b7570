/** The code as part of the link, after the sign that browsers keep to themselves: it is not sent, and in no log. */
const FRAGMENT = /^#let-in=([0-9]{6})$/;

/** @param address of the program on the network. @returns what the QR code holds */
export function deviceLink(address: string, code: string): string {
  return `${address}#let-in=${code}`;
}

/** @param hash of the address of the page. @returns the code, or '' where there is none */
export function codeInLink(hash: string): string {
  return FRAGMENT.exec(hash)?.[1] ?? '';
}

/** What was typed, without the spaces and signs that people put between. */
export function digitsOf(typed: string): string {
  return typed.replace(/\D/g, '').slice(0, 6);
}

/** In two groups: easier to read across a shop. */
export function codeWords(code: string): string {
  return `${code.slice(0, 3)}\u2009${code.slice(3)}`;
}

/** What the list calls a device until the person types something better. */
export function deviceNameOf(userAgent: string): string {
  if (/iPad|Tablet|Android(?!.*Mobile)/i.test(userAgent)) return 'Tablet';
  return /iPhone|Mobile/i.test(userAgent) ? 'Phone' : 'Computer';
}
