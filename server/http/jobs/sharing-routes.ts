import { RecordSharing } from '../../contract/jobs-views.ts';
import type { TypedApp } from '../app-parts.ts';
import type { JobRouteParts } from './job-route-parts.ts';

export function registerSharingRoutes(app: TypedApp, { sharing }: JobRouteParts): void {
  app.get('/api/records/sharing', { schema: { response: { 200: RecordSharing } } }, () => ({
    server: sharing?.shown ?? null,
    reached: sharing?.reached ?? true,
    trouble: sharing?.delivery.trouble ?? null,
    troubleSinceMs: sharing?.delivery.troubleSinceMs ?? null,
    capturesWaiting: sharing ? sharing.waiting() : 0,
    lastDeliveredAtMs: sharing?.delivery.lastDeliveredAtMs ?? null,
  }));
}
