import type { CPU } from 'avr8js';
import { ADCMuxInputType, AVRADC, AVRTimer, AVRUSART, adcConfig, timer1Config, usart0Config } from 'avr8js';
import { CPU_HZ, SUPPLY_V } from './emulated-converter.ts';

/** The peripherals as the library brings them, to check the firmware and our own ones against another's. */
export function attachLibraryPeripherals(
  cpu: CPU,
  voltageAt: (input: number, timeS: number) => number,
  onByte: (byte: number) => void,
): void {
  new AVRTimer(cpu, timer1Config);
  const uart = new AVRUSART(cpu, usart0Config, CPU_HZ);
  uart.onByteTransmit = onByte;
  const converter = new AVRADC(cpu, adcConfig);
  converter.avcc = SUPPLY_V;
  const convert = converter.onADCRead;
  converter.onADCRead = (input) => {
    if (input.type === ADCMuxInputType.SingleEnded) {
      converter.channelValues[input.channel] = voltageAt(input.channel, cpu.cycles / CPU_HZ);
    }
    convert(input);
  };
}
