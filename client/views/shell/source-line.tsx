import { connection, source } from '../../link/latest.ts';
import { sourceWords } from './source-words.ts';

/** What is measured and how the way to it is: always in sight. */
export function SourceLine() {
  const state = source.value;
  const words =
    connection.value !== 'open'
      ? 'No connection to the program'
      : state === null
        ? 'Connecting'
        : sourceWords(state);
  return (
    <p
      class="source"
      data-testid="source-state"
      data-link={connection.value === 'open' ? (state?.link ?? '') : 'no-program'}
    >
      {words}
    </p>
  );
}
