import { changeOf, Shop, ShopFields } from '../../contract/jobs.ts';
import type { TypedApp } from '../app-parts.ts';
import { answerChange } from './change-answer.ts';
import type { JobRouteParts } from './job-route-parts.ts';

export function registerShopRoutes(app: TypedApp, { store: { records } }: JobRouteParts): void {
  app.get('/api/shop', { schema: { response: { 200: Shop } } }, () => records.shop.get());

  app.put(
    '/api/shop',
    { schema: { body: changeOf(ShopFields), response: { 200: Shop } } },
    async (request, reply) => {
      const { revision, fields } = request.body;
      return answerChange(await records.shop.change(revision, fields), reply, fields);
    },
  );
}
