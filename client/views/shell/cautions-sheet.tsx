import { storedSwitch } from '../../settings/stored-choice.ts';
import { showSheet } from './sheet.ts';
import { SheetFrame } from './sheet-frame.tsx';

const cautionsSeen = storedSwitch('cautions-seen', false);

/** Shows the cautions to a person who starts this for the first time. */
export function showCautionsOnce(): void {
  if (!cautionsSeen.peek()) showSheet('cautions');
}

const CAUTIONS: readonly { readonly lead: string; readonly rest: string }[] = [
  {
    lead: 'Fresh air.',
    rest: 'Exhaust kills by carbon monoxide, which has no smell. Run the engine outdoors or with extraction, never in a closed room.',
  },
  {
    lead: 'Secure the machine.',
    rest: 'On a stand that cannot tip, in neutral, wheel off the ground or blocked. Know where the stop switch is.',
  },
  {
    lead: 'Moving parts.',
    rest: 'Keep hands, hair, sleeves, hoses and cables clear of belts, chains, sprockets and fans.',
  },
  {
    lead: 'Hot parts.',
    rest: 'Exhaust, engine and coolant burn. A running engine off the road overheats: blow air at it and let it rest.',
  },
  {
    lead: 'Fuel.',
    rest: 'Put a temporary fuel supply well away from heat and sparks, and check it for drips. Keep an extinguisher at hand.',
  },
  {
    lead: 'No flammable sprays.',
    rest: 'Never look for leaks with fuel, starting fluid or anything that burns. Use water mist, smoke or a pinch of the hose.',
  },
  { lead: 'Ignition.', rest: 'Ground the plug lead when you disable a cylinder; never let it hang.' },
  {
    lead: 'Not on the road.',
    rest: 'This is for the bench. Remove the hoses and close the ports before the machine is ridden.',
  },
];

/** What can hurt while an engine runs. */
export function CautionsSheet() {
  return (
    <SheetFrame
      name="Before the engine runs"
      closeWords="Understood"
      closeTestId="cautions-close"
      onClose={() => {
        cautionsSeen.value = true;
      }}
    >
      <ul class="cautions">
        {CAUTIONS.map(({ lead, rest }) => (
          <li key={lead}>
            <strong>{lead}</strong> {rest}
          </li>
        ))}
      </ul>
      <p>
        The figures of this instrument support, and do not replace, the manufacturer’s service data, local
        rules and a licensed technician’s judgement.
      </p>
    </SheetFrame>
  );
}
