import { describe, expect, test } from 'vitest';
import { isNodeVersionGood } from '../../server/node-version.ts';
import { STOP_WITHIN_MS, StopStack } from '../../server/stop-stack.ts';
import { ManualClock } from './manual-clock.ts';

const clock = new ManualClock();

describe('StopStack', () => {
  test('stops in the reverse order of start, each after the one before', async () => {
    const order: string[] = [];
    const stops = new StopStack(clock, () => {});
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
    const stops = new StopStack(clock, (name) => troubles.push(name));
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
    const stops = new StopStack(clock, () => {});
    stops.started('store', async () => {
      await new Promise((resolve) => setTimeout(resolve, 5));
      times++;
    });
    await Promise.all([stops.stopAll(), stops.stopAll()]);
    expect(times).toBe(1);
    expect(() => stops.started('late', () => {})).toThrow(/while the service stops/);
  });

  test('a part that does not come to an end is left behind and told of, and those below it are stopped', async () => {
    const time = new ManualClock();
    const stopped: string[] = [];
    const troubles: string[] = [];
    const stops = new StopStack(time, (name) => troubles.push(name));
    stops.started('store', () => void stopped.push('store'));
    stops.started('backups', () => new Promise(() => {}));
    stops.started('session', async () => void stopped.push('session'));
    const all = stops.stopAll();
    await time.advance(STOP_WITHIN_MS - 1);
    expect({ stopped, troubles }).toEqual({ stopped: ['session'], troubles: [] });
    await time.advance(1);
    await all;
    expect({ stopped, troubles }).toEqual({ stopped: ['session', 'store'], troubles: ['backups'] });
    expect(time.pending).toBe(0);
  });

  test('parts below one that took all the time are begun to be stopped, in order, without waiting', async () => {
    const time = new ManualClock();
    const begun: string[] = [];
    const stops = new StopStack(time, () => {});
    for (const name of ['store', 'shared job record', 'backups']) {
      stops.started(name, () => {
        begun.push(name);
        return new Promise(() => {});
      });
    }
    const all = stops.stopAll();
    await time.advance(STOP_WITHIN_MS);
    await all;
    expect(begun).toEqual(['backups', 'shared job record', 'store']);
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
