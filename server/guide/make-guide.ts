/** Part of `npm run build`: the guide as a page beside the screens, in `dist/client/guide/`. */
import { cpSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { guidePage } from './guide-page.ts';

const HERE = import.meta.dirname;
const into = join(HERE, '../../dist/client/guide');
mkdirSync(into, { recursive: true });
writeFileSync(join(into, 'index.html'), guidePage(readFileSync(join(HERE, 'guide.md'), 'utf8')));
cpSync(join(HERE, 'guide.css'), join(into, 'guide.css'));
cpSync(join(HERE, 'gallery'), join(into, 'gallery'), { recursive: true });
