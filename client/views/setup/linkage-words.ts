import type { LinkageSetup } from '../../../server/contract/setup.ts';

export const LINKAGE_WORDS: Readonly<Record<LinkageSetup['kind'], string>> = {
  usual: 'The usual',
  'one-screw': 'One screw between two',
  'rack-of-four': 'Rack of four: one in each pair, one between the pairs',
  'base-and-screws': 'A screw for each cylinder but one',
  'stops-and-cables': 'A stop screw and a cable for each cylinder',
  'own-matrix': 'My own',
  none: 'Not known: no advice',
};

/** What a set of so many cylinders can have. */
export function linkageKinds(cylinders: number): LinkageSetup['kind'][] {
  return [
    'usual',
    ...(cylinders === 2 ? (['one-screw'] as const) : []),
    ...(cylinders === 4 ? (['rack-of-four'] as const) : []),
    'base-and-screws',
    'stops-and-cables',
    'own-matrix',
    'none',
  ];
}
