#include "sampler.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "crc16.h"
#include "notices.h"

/* Supply voltage as reference, as the sensors are ratiometric; F_CPU / 128 = 125 kHz, within the 50-200 kHz
   that the datasheet asks for 10 bits. */
#define ADC_REFERENCE _BV(REFS0)
#define ADC_ON (_BV(ADEN) | _BV(ADPS2) | _BV(ADPS1) | _BV(ADPS0))
#define ADC_ON_INTERRUPT (ADC_ON | _BV(ADIE))
#define ADC_GO (ADC_ON_INTERRUPT | _BV(ADSC))

/* From the timer's instant to the moment when the first channel is held, in clock ticks of 0.5 us: the
   converter's next clock, 125 processor cycles on (see sampler_start), and 1.5 of its clocks more (datasheet,
   ADC timing, single conversion). */
#define HOLD_TICKS ((125 + 192) / 8)

/* Between the end of a burst and the next instant. */
#define SPARE_TICKS 40

#define SETS 4

/* How one instant follows the other and what is done at it; a change is taken over at an instant. */
struct pace {
    uint16_t rate_hz;
    /* Ticks between two instants, and what the division left over, in parts of rate_hz. */
    uint16_t ticks;
    uint16_t remainder;
    uint8_t rounds;
    /* From the instant to the middle of the first channel's conversions. */
    uint16_t middle_ticks;
};

static struct pace pace, next_pace;
static volatile uint8_t pace_changed;
static uint16_t conversion_ticks;

static struct sample_set sets[SETS];
static volatile uint8_t sets_filled, sets_taken;

static volatile uint32_t clock_ticks;
static uint16_t sequence;
static uint16_t left_over;
static volatile uint8_t ticked;

static volatile uint8_t converting;
static uint8_t channel, next_channel, to_start;
static uint16_t *sums;

/* What selects a channel. No other pin of port D is used as an output by this program. */
#if BOARD_MULTIPLEXER
#define SELECTOR PORTD
#define SELECTION(number) ((uint8_t)((number) << 2))
#else
#define SELECTOR ADMUX
#define SELECTION(number) (ADC_REFERENCE | (number))
#endif

/* What the interrupt of a finished conversion does first of all, worked out one conversion ahead: it must be done
   before the converter's next clock, 128 processor cycles on, even if another interrupt was in the way. */
#define NEXT_SELECTION GPIOR1
#define NEXT_CONTROL GPIOR0

static uint16_t convert_and_wait(void)
{
    ADCSRA = ADC_ON | _BV(ADSC);
    while (ADCSRA & _BV(ADSC)) {}
    return ADC;
}

static void converter_on(void)
{
    ADMUX = ADC_REFERENCE;
#if BOARD_MULTIPLEXER
    DDRD |= 0x1C;
    DIDR0 = 0x01;
#else
    /* ADC6 and ADC7 have no digital part. */
    DIDR0 = ((1 << BOARD_CHANNELS) - 1) & 0x3F;
#endif
    SELECTOR = SELECTION(0);
    ADCSRA = ADC_ON;
    convert_and_wait();
}

uint16_t sampler_noise(uint16_t seed)
{
    converter_on();
    for (uint8_t reading = 0; reading < 128; reading++) {
        SELECTOR = SELECTION(reading % BOARD_CHANNELS);
        seed = crc16_step(seed, (uint8_t)convert_and_wait());
    }
    return seed;
}

static uint8_t plan(uint16_t rate_hz, struct pace *planned)
{
    if (rate_hz > MAX_SAMPLE_RATE_HZ) return 0;
    uint32_t ticks = CLOCK_RATE_HZ / rate_hz;
    if (ticks > UINT16_MAX) return 0;
    uint16_t round = conversion_ticks * BOARD_CHANNELS;
    uint8_t rounds = 16;
    while (rounds && (uint32_t)round * rounds + SPARE_TICKS > ticks) rounds >>= 1;
    if (!rounds) return 0;
    planned->rate_hz = rate_hz;
    planned->ticks = (uint16_t)ticks;
    planned->remainder = (uint16_t)(CLOCK_RATE_HZ % rate_hz);
    planned->rounds = rounds;
    planned->middle_ticks = (uint16_t)(HOLD_TICKS + (uint16_t)((uint32_t)round * (rounds - 1) / 2));
    return 1;
}

void sampler_start(void)
{
    TCCR1A = 0;
    TCCR1B = _BV(CS11);
    converter_on();
    uint16_t before = TCNT1;
    for (uint8_t conversion = 0; conversion < 16; conversion++) convert_and_wait();
    conversion_ticks = (uint16_t)(TCNT1 - before + 8) / 16;

    plan(BOARD_RATE_HZ, &pace);
    TCCR1B = 0;
    TCNT1 = 0;
    OCR1A = pace.ticks;
    clock_ticks = pace.ticks;
    SELECTOR = NEXT_SELECTION = SELECTION(0);
    NEXT_CONTROL = ADC_ON_INTERRUPT;

    /* The clocks of timer and converter are set off together: the converter's begins when it is switched on. So an
       instant comes just after a converter clock, and there is time to start a conversion before the next one, also
       when another interrupt is in the way. */
    GTCCR = _BV(TSM) | _BV(PSRSYNC);
    TCCR1B = _BV(CS11);
    ADCSRA = 0;
    ADCSRA = ADC_ON;
    GTCCR = 0;
    convert_and_wait();

    ADCSRA = ADC_ON_INTERRUPT | _BV(ADIF);
    TIFR1 = _BV(OCF1A);
    TIMSK1 = _BV(OCIE1A);
}

uint8_t sampler_set_rate(uint16_t rate_hz)
{
    struct pace planned;
    if (!plan(rate_hz, &planned)) return 0;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        next_pace = planned;
        pace_changed = 1;
    }
    return 1;
}

uint16_t sampler_rate_hz(void)
{
    return pace_changed ? next_pace.rate_hz : pace.rate_hz;
}

uint16_t sampler_conversion_ticks(void)
{
    return conversion_ticks;
}

const struct sample_set *sampler_oldest(void)
{
    uint8_t taken = sets_taken;
    return taken == sets_filled ? 0 : &sets[taken % SETS];
}

void sampler_release(void)
{
    sets_taken++;
}

uint16_t sampler_clock_high(void)
{
    uint32_t ticks;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) ticks = clock_ticks;
    return (uint16_t)(ticks >> 16);
}

uint8_t sampler_alive(void)
{
    uint8_t alive = ticked;
    ticked = 0;
    return alive;
}

static inline void look_ahead(void)
{
    next_channel = channel + 1 < BOARD_CHANNELS ? channel + 1 : 0;
    NEXT_SELECTION = SELECTION(next_channel);
    NEXT_CONTROL = to_start ? ADC_GO : ADC_ON_INTERRUPT;
}

ISR(TIMER1_COMPA_vect)
{
    uint32_t now = clock_ticks;
    uint8_t slot = sets_filled;
    ticked = 1;

    if (converting) {
        /* The burst before never ended: its set is given up and the converter started afresh. */
        converting = 0;
        ADCSRA = 0;
        ADCSRA = ADC_ON_INTERRUPT | _BV(ADIF);
        notice_count_in_interrupt(ADC_FAULT);
    }
    if ((uint8_t)(slot - sets_taken) < SETS) {
        SELECTOR = SELECTION(0);
        ADCSRA = ADC_GO;
        if (pace_changed) {
            pace = next_pace;
            pace_changed = 0;
            left_over = 0;
        }
        struct sample_set *set = &sets[slot % SETS];
        set->sequence = sequence;
        set->ticks = now + pace.middle_ticks;
        set->rounds = pace.rounds;
        sums = set->sums;
        for (uint8_t number = 0; number < BOARD_CHANNELS; number++) sums[number] = 0;
        channel = 0;
        to_start = pace.rounds * BOARD_CHANNELS - 1;
        look_ahead();
        converting = 1;
    } else {
        NEXT_CONTROL = ADC_ON_INTERRUPT;
        notice_count_in_interrupt(OVERFLOW);
    }
    sequence++;

    uint16_t step = pace.ticks;
    left_over += pace.remainder;
    if (left_over >= pace.rate_hz) {
        left_over -= pace.rate_hz;
        step++;
    }
    OCR1A += step;
    clock_ticks = now + step;
}

ISR(ADC_vect)
{
    SELECTOR = NEXT_SELECTION;
    ADCSRA = NEXT_CONTROL;
    /* The result stays until the conversion just begun is finished. */
    uint16_t reading = ADC;
    if (!converting) return;
    sums[channel] += reading;
    if (to_start) {
        to_start--;
        channel = next_channel;
        look_ahead();
    } else {
        converting = 0;
        sets_filled++;
    }
}
