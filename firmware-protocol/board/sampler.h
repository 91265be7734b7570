/*
 * Timer-driven sampling. At each instant of the timer the converter goes round all channels several times and
 * adds up; so every channel is averaged over almost the whole time between two instants, which keeps faster
 * pulsation from folding down, while neighbouring channels lie only one conversion apart.
 */
#ifndef SAMPLER_H
#define SAMPLER_H

#include <stdint.h>

#include "config.h"

struct sample_set {
    uint16_t sequence;
    /* Board clock at the middle of the conversions of the first channel. */
    uint32_t ticks;
    /* Conversions added up in each sum: 1, 2, 4, 8 or 16. */
    uint8_t rounds;
    uint16_t sums[BOARD_CHANNELS];
};

/* Measures the converter, then samples at BOARD_RATE_HZ with interrupts enabled by the caller. */
void sampler_start(void);

/* From the next instant on. Returns 0 and changes nothing when the converter is too slow for this rate. */
uint8_t sampler_set_rate(uint16_t rate_hz);
uint16_t sampler_rate_hz(void);

/* Clock ticks from the conversion of one channel to that of the next, as measured at start. */
uint16_t sampler_conversion_ticks(void);

/* The oldest set not yet taken, or a null pointer. Stays valid until sampler_release. */
const struct sample_set *sampler_oldest(void);
void sampler_release(void);

/* Bits 16 to 31 of the board clock: counts units of 32.8 ms. */
uint16_t sampler_clock_high(void);

/* Whether the timer has ticked since the last call. */
uint8_t sampler_alive(void);

/* Reads every input many times and stirs the noise of the lowest bits into the seed. Only before sampler_start. */
uint16_t sampler_noise(uint16_t seed);

#endif
