import { randomBytes } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { until } from '../server/board/scripted-board.ts';
import { AttackedService, type LiveTry } from './attacked-service.ts';

let attacked: AttackedService;
let cookie = '';
let watching: LiveTry;
beforeAll(async () => {
  attacked = await AttackedService.start();
  cookie = await attacked.letIn('view');
  watching = attacked.live({ cookie });
  await until('figures', () => watching.messages > 3);
});
afterAll(async () => {
  watching.socket.terminate();
  await attacked.stop();
});

/** The others go on hearing, and the program is there. */
async function expectNobodyElseHarmed() {
  const before = watching.messages;
  await until('the others hear on', () => watching.messages > before + 2);
  expect(watching.closed).toBe(false);
  expect((await attacked.instrument('/api/health')).status).toBe(200);
}

async function upgraded() {
  const bare = await attacked.bare();
  bare.socket.write(
    [
      'GET /live HTTP/1.1',
      `Host: 127.0.0.1:${attacked.networkPort}`,
      'Upgrade: websocket',
      'Connection: Upgrade',
      `Sec-WebSocket-Key: ${randomBytes(16).toString('base64')}`,
      'Sec-WebSocket-Version: 13',
      `Cookie: ${cookie}`,
      '\r\n',
    ].join('\r\n'),
  );
  await until('upgraded', () => bare.received.startsWith('HTTP/1.1 101'));
  return bare;
}

/** A frame from a client as RFC 6455, 5.2 lays it out. */
function frame(first: number, payload: Buffer, masked = true): Buffer {
  const mask = Buffer.from([1, 2, 3, 4]);
  const bytes = masked ? payload.map((byte, index) => byte ^ mask[index % 4]!) : payload;
  const length = (masked ? 0x80 : 0) | payload.length;
  return Buffer.concat([Buffer.from([first, length]), masked ? mask : Buffer.alloc(0), bytes]);
}

const TEXT = 0x1;
const FIN = 0x80;
const BROKEN: [string, Buffer][] = [
  ['without a mask', frame(FIN | TEXT, Buffer.from('hello'), false)],
  ['with reserved bits', frame(FIN | 0x70 | TEXT, Buffer.from('hello'))],
  ['that claims to be compressed', frame(FIN | 0x40 | TEXT, Buffer.from('hello'))],
  ['of an unknown kind', frame(FIN | 0x3, Buffer.from('hello'))],
  ['of an unknown kind of control', frame(FIN | 0xb, Buffer.from('hello'))],
  ['that goes on with nothing', frame(FIN | 0x0, Buffer.from('hello'))],
  ['of text that is no UTF-8', frame(FIN | TEXT, Buffer.from([0xc3, 0x28]))],
  ['of a close with half a code', frame(FIN | 0x8, Buffer.from([0x03]))],
  ['of a close with a code that may not be sent', frame(FIN | 0x8, Buffer.from([0x03, 0xed]))],
  ['of a ping in pieces', frame(0x9, Buffer.from('hello'))],
  [
    'of a ping that is too long',
    Buffer.concat([Buffer.from([FIN | 0x9, 0xfe, 0x00, 0x7e, 1, 2, 3, 4]), Buffer.alloc(126)]),
  ],
  ['that claims 2^63 bytes', Buffer.from([FIN | TEXT, 0xff, 0x80, 0, 0, 0, 0, 0, 0, 0, 1, 2, 3, 4])],
  ['that claims a gigabyte', Buffer.from([FIN | TEXT, 0xff, 0, 0, 0, 0, 0x40, 0, 0, 0, 1, 2, 3, 4])],
  ['of noise', Buffer.from(Array.from({ length: 400 }, (_, n) => (n * 197 + 91) & 0xff))],
];

describe('a WebSocket frame', () => {
  test.each(BROKEN)('%s ends its connection and no other', async (_what, bytes) => {
    const bare = await upgraded();
    bare.socket.write(bytes);
    await until('closed', () => bare.closed);
    await expectNobodyElseHarmed();
  });

  test('that never ends is bounded by the size of a message', async () => {
    const bare = await upgraded();
    let pieces = 0;
    bare.socket.write(frame(TEXT, Buffer.from('x')));
    while (!bare.closed && pieces++ < 2_000) {
      bare.socket.write(frame(0x0, Buffer.alloc(100, 0x78)));
      if (pieces % 20 === 0) await new Promise((next) => setTimeout(next, 2));
    }
    await until('closed', () => bare.closed);
    await expectNobodyElseHarmed();
  });

  test('in an upgrade of an old version, or without a key, is not listened to', async () => {
    for (const lines of [
      ['Sec-WebSocket-Version: 7', 'Sec-WebSocket-Key: x3JJHMbDL1EzLkh9GBhXDw=='],
      ['Sec-WebSocket-Version: 13'],
    ]) {
      const bare = await attacked.bare();
      const start = ['GET /live HTTP/1.1', `Host: 127.0.0.1:${attacked.networkPort}`, `Cookie: ${cookie}`];
      bare.socket.write(
        [...start, 'Upgrade: websocket', 'Connection: Upgrade', ...lines, '\r\n'].join('\r\n'),
      );
      await until('refused', () => bare.received !== '' || bare.closed);
      expect(bare.received).not.toContain('HTTP/1.1 101');
    }
    await expectNobodyElseHarmed();
  });
});

describe('HTTP', () => {
  const BROKEN_HTTP: [string, string][] = [
    ['noise', '\u0000\u0016\u0003\u0001garbage\r\n\r\n'],
    ['no version', 'GET /api/setup\r\n\r\n'],
    ['no Host', 'GET /api/setup HTTP/1.1\r\n\r\n'],
    ['no Host, as version 1.0 allows', 'GET /api/setup HTTP/1.0\r\n\r\n'],
    ['two Hosts', 'GET /api/setup HTTP/1.1\r\nHost: HERE\r\nHost: elsewhere.example\r\n\r\n'],
    [
      'a whole address of elsewhere',
      'GET http://elsewhere.example/api/setup HTTP/1.1\r\nHost: elsewhere.example\r\n\r\n',
    ],
    ['a method of its own', 'BREW /api/setup HTTP/1.1\r\nHost: HERE\r\n\r\n'],
    ['CONNECT', 'CONNECT elsewhere.example:80 HTTP/1.1\r\nHost: HERE\r\n\r\n'],
    ['a space in a header name', 'GET /api/setup HTTP/1.1\r\nHost : HERE\r\n\r\n'],
    ['a folded header', 'GET /api/setup HTTP/1.1\r\nHost: HERE\r\nX: a\r\n b: c\r\n\r\n'],
    ['a broken escape', 'GET /api/%zz HTTP/1.1\r\nHost: HERE\r\n\r\n'],
  ];

  test.each(BROKEN_HTTP)('with %s is refused, and nothing is told', async (_what, text) => {
    const bare = await attacked.bare();
    bare.socket.write(text.replace('HERE', `127.0.0.1:${attacked.networkPort}`));
    await until('an answer or an end', () => bare.closed || bare.received.includes('\r\n\r\n'));
    expect(bare.received).not.toMatch(/^HTTP\/1\.1 2/);
    expect(bare.received).not.toContain('toleranceKpa');
    expect(bare.received).not.toMatch(/node_modules|\.ts:|\.js:\d/);
    await expectNobodyElseHarmed();
  });

  test('that hides a second request behind two lengths (RFC 9112, 6.1) gets one answer and an end', async () => {
    const bare = await attacked.bare();
    const hidden = `GET /api/setup HTTP/1.1\r\nHost: 127.0.0.1:${attacked.networkPort}\r\nCookie: ${cookie}\r\n\r\n`;
    bare.socket.write(
      [
        'POST /api/access/let-in HTTP/1.1',
        `Host: 127.0.0.1:${attacked.networkPort}`,
        'Content-Type: application/json',
        'Content-Length: 4',
        'Transfer-Encoding: chunked',
        '',
        `0\r\n\r\n${hidden}`,
      ].join('\r\n'),
    );
    await until('closed', () => bare.closed);
    expect(bare.received).toMatch(/^HTTP\/1\.1 400 /);
    expect(bare.received).not.toContain('toleranceKpa');
    await expectNobodyElseHarmed();
  });
});
