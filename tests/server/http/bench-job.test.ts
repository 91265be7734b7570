import { afterEach, describe, expect, it } from 'vitest';
import { appBench } from './app-bench.ts';

const REAL = 'visit-real';
const PRACTICE = 'visit-practice';

/** Two jobs: one of a real machine, one of the practice engine. */
const visit = async (id: string) =>
  id === REAL ? { practice: false } : id === PRACTICE ? { practice: true } : null;

let bench: Awaited<ReturnType<typeof appBench>>;
afterEach(() => bench.app.close());

async function captured(source: 'serial' | 'practice', benchVisitId: string | null) {
  bench = await appBench(source, { visit });
  await bench.app.inject({ method: 'PATCH', url: '/api/setup', payload: { benchVisitId } });
  const answer = await bench.app.inject({
    method: 'POST',
    url: '/api/captures',
    payload: { label: 'before' },
  });
  expect(answer.statusCode).toBe(201);
  return bench.store.header(answer.json<{ id: string }>().id)?.visitId ?? null;
}

describe('the job on the bench', () => {
  it('gets the captures that are started while it is there', async () => {
    expect(await captured('serial', REAL)).toBe(REAL);
  });

  it('gets none when no job is there', async () => {
    expect(await captured('serial', null)).toBeNull();
  });

  it('keeps practice and real apart', async () => {
    expect(await captured('practice', REAL)).toBeNull();
    await bench.app.close();
    expect(await captured('serial', PRACTICE)).toBeNull();
    await bench.app.close();
    expect(await captured('practice', PRACTICE)).toBe(PRACTICE);
  });

  it('must be in the record', async () => {
    bench = await appBench('serial', { visit });
    const answer = await bench.app.inject({
      method: 'PATCH',
      url: '/api/setup',
      payload: { benchVisitId: 'visit-of-nobody' },
    });
    expect(answer.statusCode).toBe(404);
    expect(answer.json()).toMatchObject({ code: 'record-not-found' });
  });
});
