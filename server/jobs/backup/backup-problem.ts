import { diskTrouble } from '../disk-trouble.ts';

/** Why a backup could not be made, in words for who has to put it right; the error's own where there are none. */
export function backupProblem(error: unknown, folder: string): string {
  const own = error instanceof Error ? error.message : String(error);
  switch (diskTrouble(error)) {
    case 'full':
      return `There is no room left in ${folder}.`;
    case 'forbidden':
      return `Nothing may be written into ${folder} (${own}).`;
    case 'failing':
      return `${folder} cannot be read or written: the stick or disk may be failing (${own}).`;
    default:
      return own;
  }
}

/** A folder that is not there is most often a stick that is not in. */
export const noSuchFolder = (folder: string): string => `There is no folder ${folder}. Is the stick in?`;
