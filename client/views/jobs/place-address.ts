/** Pages of the record and their addresses. */
export type Place =
  | { readonly at: 'list' }
  | { readonly at: 'new'; readonly machineId: string | null }
  | { readonly at: 'job' | 'machine'; readonly id: string }
  | { readonly at: 'shop' };

export function addressOf(target: Place): string {
  switch (target.at) {
    case 'list':
      return '#jobs';
    case 'new':
      return target.machineId === null ? '#jobs/new' : `#jobs/new/${target.machineId}`;
    case 'job':
    case 'machine':
      return `#jobs/${target.at}/${target.id}`;
    case 'shop':
      return '#jobs/shop';
  }
}

export function placeOf(hash: string): Place {
  const [, at, id] = hash.slice(1).split('/');
  if ((at === 'job' || at === 'machine') && id !== undefined && id !== '') return { at, id };
  if (at === 'new') return { at, machineId: id === undefined || id === '' ? null : id };
  return at === 'shop' ? { at } : { at: 'list' };
}
