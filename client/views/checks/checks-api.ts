import type {
  CheckEvent,
  CheckGuide,
  CheckKind,
  CheckResult,
  CheckStart,
  CheckState,
} from '../../../server/contract/checks.ts';
import type { PracticePatch } from '../../../server/contract/practice.ts';
import type { Answer } from '../../link/api.ts';
import { api, call } from '../../link/api.ts';

export const checksApi = {
  guide: (): Promise<Answer<CheckGuide>> => call('GET', 'api/checks'),
  state: (): Promise<Answer<CheckState>> => call('GET', 'api/checks/current'),
  start: (start: CheckStart): Promise<Answer<CheckState>> => call('POST', 'api/checks/current', start),
  happen: (event: CheckEvent): Promise<Answer<CheckState>> =>
    call('POST', 'api/checks/current/events', event),
  finish: (): Promise<Answer<CheckState>> => call('POST', 'api/checks/current/finish'),
  discard: (): Promise<Answer<CheckState>> => call('DELETE', 'api/checks/current'),
  results: (kind: CheckKind): Promise<Answer<CheckResult[]>> =>
    call('GET', `api/checks/results?kind=${kind}`),
  practice: (patch: PracticePatch) => api.changePractice(patch),
};
