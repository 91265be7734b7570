import { CylinderPlate } from '../../charts/cylinder-plate.tsx';
import { figures } from '../../link/shown.ts';
import { sensorSentence } from '../shell/source-words.ts';

/** Sentences about sensors that are not in order, where the table of cylinders is out of sight. */
export function SensorNotes() {
  const reading = figures.value;
  if (reading === null || !reading.engine.running) return null;
  const troubled = reading.cylinders.filter(({ sensor }) => sensor !== 'ok');
  if (troubled.length === 0) return null;
  return (
    <ul class="sensor-notes">
      {troubled.map(({ cylinder, sensor }) => (
        <li key={cylinder}>
          <CylinderPlate cyl={cylinder - 1} />
          {sensorSentence(sensor)}
        </li>
      ))}
    </ul>
  );
}
