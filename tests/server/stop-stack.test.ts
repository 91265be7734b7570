import { describe, expect, test } from 'vitest';
import { isNodeVersionGood } from '../../server/node-version.ts';
import { StopStack } from '../../server/stop-stack.ts';

describe('StopStack', () => {
  test('stops in the reverse order of start, each after the one before', async () => {
    const order: string[] = [];
    const stops = new StopStack(() => {});
    for (const name of ['store', 'session', 'http']) {
      stops.started(name, async () => {
        order.push(`${name} begins`);
        await new Promise((resolve) => setTimeout(resolve, 1));
        order.push(`${name} ends`);
      });
    }
    await stops.stopAll();
    expect(order).toEqual([
      'http begins',
      'http ends',
      'session begins',
      'session ends',
      'store begins',
      'store ends',
    ]);
  });

  test('a part that fails is told of and the others are stopped all the same', async () => {
    const stopped: string[] = [];
    const troubles: string[] = [];
    const stops = new StopStack((name) => troubles.push(name));
    stops.started('store', () => void stopped.push('store'));
    stops.started('session', () => {
      throw new Error('no');
    });
    stops.started('http', () => Promise.reject(new Error('no')));
    await stops.stopAll();
    expect(stopped).toEqual(['store']);
    expect(troubles).toEqual(['http', 'session']);
  });

  test('a second call waits for the first and stops nothing twice', async () => {
    let times = 0;
    const stops = new StopStack(() => {});
    stops.started('store', async () => {
      await new Promise((resolve) => setTimeout(resolve, 5));
      times++;
    });
    await Promise.all([stops.stopAll(), stops.stopAll()]);
    expect(times).toBe(1);
    expect(() => stops.started('late', () => {})).toThrow(/while the service stops/);
  });
});

describe('the Node.js version', () => {
  test.each([
    ['20.18.3', false],
    ['20.19.0', true],
    ['22.1.0', true],
    ['24.21.0', true],
    ['25.9.9', true],
    ['26.0.0', false],
    ['18.20.0', false],
  ])('%s: %s', (version, good) => {
    expect(isNodeVersionGood(version)).toBe(good);
  });
});
