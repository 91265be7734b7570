import type { CPU } from 'avr8js';
import { ADCMuxInputType, AVRADC, adcConfig } from 'avr8js';

const CONVERTER_CLOCKS_FIRST = 25;
const CONVERTER_CLOCKS = 13;
/** Converter clocks from the start of a conversion until the input is held. */
const HOLD_CLOCKS_FIRST = 13.5;
const HOLD_CLOCKS = 1.5;

export const CPU_HZ = 16_000_000;
export const SUPPLY_V = 5;

/**
 * The converter with the timing of the ATmega328P datasheet (ADC, prescaling and conversion timing): a conversion begins
 * with the next clock of the converter, which runs since it was switched on, and not with the instruction; the input is held 1.5 converter clocks later, and the
 * result is there after 13. The emulator's own begins at once and reads the voltage at the start.
 *
 * @param voltageAt input voltage [V] at a time [s] since power-up
 */
export function attachConverter(
  cpu: CPU,
  voltageAt: (input: number, timeS: number) => number,
  isStalled: () => boolean,
): AVRADC {
  const converter = new AVRADC(cpu, adcConfig);
  converter.avcc = SUPPLY_V;
  let latest = 0;
  let switchedOnAt = 0;
  converter.onADCRead = (input) => {
    const number = ++latest;
    if (isStalled()) return;
    const clock = converter.prescaler;
    const first = converter.sampleCycles > CONVERTER_CLOCKS * clock;
    const begin = switchedOnAt + Math.ceil((cpu.cycles + 1 - switchedOnAt) / clock) * clock;
    const hold = begin + (first ? HOLD_CLOCKS_FIRST : HOLD_CLOCKS) * clock;
    const end = begin + (first ? CONVERTER_CLOCKS_FIRST : CONVERTER_CLOCKS) * clock;
    const volts = input.type === ADCMuxInputType.SingleEnded ? voltageAt(input.channel, hold / CPU_HZ) : 0;
    const count = Math.min(1_023, Math.max(0, Math.floor((volts / converter.referenceVoltage) * 1_024)));
    cpu.addClockEvent(() => {
      if (number === latest) converter.completeADCRead(count);
    }, end - cpu.cycles);
  };

  const start = cpu.writeHooks[ADCSRA]!;
  cpu.writeHooks[ADCSRA] = (value, before, address, mask) => {
    if (!(value & ADEN)) {
      // Switching off gives up the conversion under way; the emulator would wait for it.
      latest++;
      (converter as unknown as { converting: boolean }).converting = false;
    }
    if (value & ADEN && !(before & ADEN)) switchedOnAt = cpu.cycles;
    // The flag is cleared by writing a one; the emulator would set it.
    if (value & ADIF) cpu.clearInterrupt(CONVERSION_COMPLETE);
    const flag = value & ADIF ? 0 : before & ADIF;
    start((value & ~ADIF) | flag, before, address, mask);
    return true;
  };
  return converter;
}

const ADCSRA = adcConfig.ADCSRA;
const ADEN = 0x80;
const ADIF = 0x10;
const CONVERSION_COMPLETE = {
  address: adcConfig.adcInterrupt,
  flagRegister: ADCSRA,
  flagMask: ADIF,
  enableRegister: ADCSRA,
  enableMask: 0x08,
};
