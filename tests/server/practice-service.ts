import { pino } from 'pino';
import { type RunningService, type ServiceOptions, startService } from '../../server/service.ts';

/** The whole service in this process, on the practice engine and a free port; it writes no log unless told. */
export function startPracticeService(
  dataFolder: string,
  more: Partial<ServiceOptions> = {},
): Promise<RunningService> {
  return startService({
    dataFolder,
    port: 0,
    source: { kind: 'practice' },
    recordFile: null,
    clientFolder: null,
    softwareVersion: '0.0.0-test',
    logger: pino({ level: 'silent' }),
    ...more,
  });
}
