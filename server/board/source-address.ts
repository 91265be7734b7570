/** How the person names where the board's bytes come from: `auto`, `practice`, `serial:PATH`, … */

export type SourceAddress =
  | { readonly kind: 'auto' }
  | { readonly kind: 'practice' }
  | { readonly kind: 'serial'; readonly path: string }
  | { readonly kind: 'tcp'; readonly host: string; readonly port: number }
  | { readonly kind: 'replay'; readonly file: string };

export type ParsedAddress =
  | { readonly ok: true; readonly address: SourceAddress }
  | { readonly ok: false; readonly sentence: string };

export const SOURCE_FORMS = 'auto, practice, serial:PATH, tcp:HOST:PORT or replay:FILE';

const MAX_TCP_PORT = 65_535;

/**
 * Reads an address as typed.
 * @example parseSourceAddress('tcp:10.0.0.5:3333') // { ok: true, address: { kind: 'tcp', host: '10.0.0.5', port: 3333 } }
 */
export function parseSourceAddress(text: string): ParsedAddress {
  const typed = text.trim();
  if (typed === 'auto' || typed === 'practice') return { ok: true, address: { kind: typed } };
  const colon = typed.indexOf(':');
  const kind = colon < 0 ? typed : typed.slice(0, colon);
  const rest = colon < 0 ? '' : typed.slice(colon + 1);
  switch (kind) {
    case 'serial':
      if (rest === '') return refuse('serial: needs a port, such as serial:/dev/ttyUSB0 or serial:COM3.');
      return { ok: true, address: { kind: 'serial', path: rest } };
    case 'replay':
      if (rest === '') return refuse('replay: needs a file, such as replay:monday.recording.');
      return { ok: true, address: { kind: 'replay', file: rest } };
    case 'tcp':
      return parseTcp(rest);
    default:
      return refuse(`"${typed}" names no source. Give ${SOURCE_FORMS}.`);
  }
}

export function formatSourceAddress(address: SourceAddress): string {
  switch (address.kind) {
    case 'auto':
    case 'practice':
      return address.kind;
    case 'serial':
      return `serial:${address.path}`;
    case 'replay':
      return `replay:${address.file}`;
    case 'tcp':
      return `tcp:${address.host.includes(':') ? `[${address.host}]` : address.host}:${address.port}`;
  }
}

function parseTcp(rest: string): ParsedAddress {
  const parts = /^(?:\[([^\]]+)\]|([^:[\]]+)):(\d+)$/.exec(rest);
  const host = parts?.[1] ?? parts?.[2];
  const port = Number(parts?.[3]);
  if (host === undefined) return refuse('tcp: needs a host and a port, such as tcp:10.0.0.5:3333.');
  if (port < 1 || port > MAX_TCP_PORT) {
    return refuse(`tcp: the port is a number from 1 to ${MAX_TCP_PORT}, not ${parts?.[3]}.`);
  }
  return { ok: true, address: { kind: 'tcp', host, port } };
}

function refuse(sentence: string): ParsedAddress {
  return { ok: false, sentence };
}
