import type { TypedApp } from '../app-parts.ts';
import { answerJobError } from './answer-job-error.ts';
import { registerBackupRoutes } from './backup-routes.ts';
import { registerEntryRoutes } from './entry-routes.ts';
import type { JobRouteParts } from './job-route-parts.ts';
import { registerMachineRoutes } from './machine-routes.ts';
import { registerOwnerRoutes } from './owner-routes.ts';
import { registerPhotoRoutes } from './photo-routes.ts';
import { registerSearchRoutes } from './search-routes.ts';
import { registerSharingRoutes } from './sharing-routes.ts';
import { registerShopRoutes } from './shop-routes.ts';
import { registerTransferRoutes } from './transfer-routes.ts';
import { registerVisitRoutes } from './visit-routes.ts';

/** The job record, in a scope of its own because its errors can come from the disk. */
export async function registerJobRoutes(app: TypedApp, parts: JobRouteParts): Promise<void> {
  await app.register(async (plain) => {
    const scope = plain as TypedApp;
    scope.setErrorHandler(answerJobError);
    // The compiled writers of jobs with their many kinds of lines take a third of a second to make at the first
    // answer, and are no faster than this afterwards. What routes answer is held to the contract by its types.
    scope.setSerializerCompiler(() => JSON.stringify);
    registerOwnerRoutes(scope, parts);
    registerMachineRoutes(scope, parts);
    registerVisitRoutes(scope, parts);
    registerEntryRoutes(scope, parts);
    registerShopRoutes(scope, parts);
    registerSearchRoutes(scope, parts);
    registerBackupRoutes(scope, parts);
    registerSharingRoutes(scope, parts);
    await scope.register(async (photos) => registerPhotoRoutes(photos as TypedApp, parts));
    await scope.register(async (transfer) => registerTransferRoutes(transfer as TypedApp, parts));
  });
}
