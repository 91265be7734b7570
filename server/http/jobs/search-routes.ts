import Type from 'typebox';
import { SearchHit } from '../../contract/jobs-views.ts';
import { searchRecords } from '../../jobs/search-records.ts';
import type { TypedApp } from '../app-parts.ts';
import type { JobRouteParts } from './job-route-parts.ts';
import { listQuery } from './list-query.ts';

const SearchQuery = Type.Object({ q: listQuery.q, practice: listQuery.practice });

export function registerSearchRoutes(app: TypedApp, { store: { records } }: JobRouteParts): void {
  app.get(
    '/api/search',
    { schema: { querystring: SearchQuery, response: { 200: Type.Array(SearchHit) } } },
    (request) => searchRecords(records.parts.db, request.query.q ?? '', request.query.practice),
  );
}
