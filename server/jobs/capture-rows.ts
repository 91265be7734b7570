import type { CaptureSummary } from '../contract/captures.ts';
import type { CaptureFigures, CaptureHeader } from './capture-store.ts';
import type { SqliteRow } from './sqlite-database.ts';

/** What lists show of a row of `captures`. */
export function summaryFromRow(row: SqliteRow): CaptureSummary {
  const header = JSON.parse(String(row.header_json)) as CaptureHeader;
  const figures = row.figures_json === null ? null : (JSON.parse(String(row.figures_json)) as CaptureFigures);
  const ticks = row.first_ticks === null ? 0 : Number(row.last_ticks) - Number(row.first_ticks);
  return {
    id: String(row.id),
    label: row.label as CaptureSummary['label'],
    state: row.state as CaptureSummary['state'],
    practice: row.practice === 1,
    sourceAddress: String(row.source_address),
    startedAtMs: Number(row.started_at_ms),
    durationS: ticks / header.clockRateHz,
    samples: Number(row.samples),
    cylinders: Number(row.cylinders),
    spreadKpa: figures?.spreadKpa ?? null,
    spreadExpandedKpa: figures?.spreadExpandedKpa ?? null,
    gapsKpa: [...(figures?.gapsKpa ?? [])],
    idleRpm: figures?.idleRpm ?? null,
    roughnessScore: figures?.roughnessScore ?? null,
    softwareVersion: String(row.software_version),
    ...conditionsOf(header),
  };
}

/** What was noted of engine and air, where anything was. */
function conditionsOf(header: CaptureHeader): { conditions?: string } {
  const setup = header.setup as { conditions?: unknown } | null;
  return typeof setup?.conditions === 'string' && setup.conditions !== ''
    ? { conditions: setup.conditions }
    : {};
}

/** The engine's cylinders as far as the board has a channel for them. */
export function cylindersOf(header: CaptureHeader): number {
  const setup = header.setup as { cylinders?: unknown } | null;
  const cylinders = typeof setup?.cylinders === 'number' ? setup.cylinders : header.sensorTypes.length;
  return Math.min(cylinders, header.sensorTypes.length);
}

export const textOrNull = (value: unknown): string | null => (typeof value === 'string' ? value : null);
