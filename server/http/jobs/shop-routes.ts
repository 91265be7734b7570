import { changeOf, Shop, ShopFields } from '../../contract/jobs.ts';
import { askerOf } from '../access/asker.ts';
import type { TypedApp } from '../app-parts.ts';
import { AnswerError } from '../error-answer.ts';
import { answerChange } from './change-answer.ts';
import type { JobRouteParts } from './job-route-parts.ts';

export function registerShopRoutes(app: TypedApp, { store: { records } }: JobRouteParts): void {
  app.get('/api/shop', { schema: { response: { 200: Shop } } }, () => records.shop.get());

  app.put(
    '/api/shop',
    { schema: { body: changeOf(ShopFields), response: { 200: Shop } } },
    async (request, reply) => {
      const { revision, fields } = request.body;
      const asker = askerOf(request);
      if (asker !== null && asker.role !== 'instrument') {
        // A folder of this computer is named by who sits at it.
        const { backup } = await records.shop.get();
        if (fields.backup.folder !== backup.folder)
          throw new AnswerError('only-on-instrument', 'backup folder');
      }
      return answerChange(await records.shop.change(revision, fields), reply, fields);
    },
  );
}
