/*
 * What one builder's board may have different from another's. Every value can also be given to the compiler
 * as -DNAME=value. Limits are those of ../PROTOCOL.md.
 */
#ifndef CONFIG_H
#define CONFIG_H

/* Sensors connected, 1-8. Without a multiplexer they hang on ADC0, ADC1, ... (ADC6 and ADC7 exist only in the
   32-pin packages). */
#ifndef BOARD_CHANNELS
#define BOARD_CHANNELS 4
#endif

/* 1: all sensors come through one 8-to-1 analogue multiplexer on ADC0, its address on PD2 (lowest), PD3, PD4. */
#ifndef BOARD_MULTIPLEXER
#define BOARD_MULTIPLEXER 0
#endif

/* Datasheet part number that the identity reports for every channel unless the EEPROM says otherwise. */
#ifndef BOARD_SENSOR
#define BOARD_SENSOR "MPX4115A"
#endif

#ifndef BOARD_BAUD
#define BOARD_BAUD 500000UL
#endif

/* Samples per second after power-up. */
#ifndef BOARD_RATE_HZ
#define BOARD_RATE_HZ 500
#endif

#ifndef F_CPU
#define F_CPU 16000000UL
#endif

#define FIRMWARE_VERSION "1.0.0"
#define PROTOCOL_VERSION "1"

#define MAX_NAME_LENGTH 16
#define MAX_LINE_BYTES 240
#define MAX_COMMAND_BYTES 32
#define MAX_SAMPLE_RATE_HZ 4000

/* The board clock: F_CPU through the timer's prescaler of 8. */
#define CLOCK_RATE_HZ (F_CPU / 8)

/* Counts are given as if the supply voltage were 4096, however many conversions are averaged. */
#define FULL_SCALE_COUNTS 4096
#define CONVERTER_COUNTS 1024

#if BOARD_CHANNELS < 1 || BOARD_CHANNELS > 8
#error "BOARD_CHANNELS must be 1 to 8"
#endif

#if F_CPU != 16000000UL
#error "The converter clock and the line speeds are worked out for 16 MHz"
#endif

/* Eight clock cycles for each bit at double speed. 115200 baud comes out 2.1 % fast, the others exact. */
#define BAUD_DIVISOR ((F_CPU + 4 * BOARD_BAUD) / (8 * BOARD_BAUD))
#define MADE_BAUD (F_CPU / 8 / BAUD_DIVISOR)
#if MADE_BAUD * 40 > BOARD_BAUD * 41 || MADE_BAUD * 40 < BOARD_BAUD * 39
#error "This line speed cannot be made from 16 MHz within 2.5 percent"
#endif

#endif
