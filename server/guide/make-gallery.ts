/** `npm run guide:pictures`: draws the pulses of the guide's gallery with the practice engine into `gallery/`. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { galleryPictures } from './gallery-pictures.ts';

const folder = join(import.meta.dirname, 'gallery');
mkdirSync(folder, { recursive: true });
for (const { name, svg } of galleryPictures()) writeFileSync(join(folder, `${name}.svg`), svg);
