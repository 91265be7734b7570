/** Cautions that checks refer to. They add to the service data, local rules and the care of the trade; they replace none. */

export type CautionId =
  | 'running-engine'
  | 'exhaust'
  | 'water-only'
  | 'spark-off'
  | 'starter'
  | 'hand-pump'
  | 'blip'
  | 'service-data';

export const CAUTIONS: Readonly<Record<CautionId, string>> = {
  'running-engine':
    'The engine runs: stand in neutral on a firm stand, keep hands, hoses, hair and clothes off chain, belt, fan and hot parts, and have the switch within reach.',
  exhaust: 'Exhaust gas kills: run the engine outdoors or with the gas drawn off.',
  'water-only':
    'Never spray anything that burns, no cleaner and no starting fluid: use a fine mist of water, smoke that is made for it, or press and pinch. Keep water off ignition parts and out of open intakes.',
  'spark-off':
    'High voltage: switch off before touching a lead, ground every plug lead that is taken off, never let it hang, and do not pull live leads by hand. Unburnt fuel overheats a catalyst: keep each cylinder off for seconds only.',
  starter:
    'Ignition off so that it cannot fire, gear in neutral, nobody near moving parts. Five seconds at a time, then let the starter cool.',
  'hand-pump':
    'Engine off and cold. Pump by hand only and stop at the vacuum that the service data name: too much tears a diaphragm.',
  blip: 'Short blips only, warm engine, well below the red line. An engine in gear moves.',
  'service-data': 'The limits and steps in the service data of this machine come first.',
};
