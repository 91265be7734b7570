/* Manifold-pressure board: samples by timer, sends what it samples, obeys commands. Protocol: ../PROTOCOL.md */
#include "config.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>
#include <util/atomic.h>

#include "command.h"
#include "identity.h"
#include "line.h"
#include "notices.h"
#include "sampler.h"
#include "serial.h"

static uint8_t identity_due = 1;
static uint8_t sending = 1;

static void obey(void)
{
    uint16_t rate_hz;
    switch (command_receive(&rate_hz)) {
    case NO_COMMAND: return;
    case IDENTIFY: break;
    case START: sending = 1; break;
    case STOP: sending = 0; break;
    case RATE:
        if (sampler_set_rate(rate_hz)) break;
        /* fall through */
    case BAD: notice_count(BAD_COMMAND); return;
    }
    identity_due = 1;
}

/* The sum of 1, 2, 4, 8 or 16 conversions, brought to FULL_SCALE_COUNTS. */
static uint16_t scaled(uint16_t sum, uint8_t rounds)
{
    uint8_t full = FULL_SCALE_COUNTS / CONVERTER_COUNTS;
    for (; rounds < full; rounds <<= 1) sum <<= 1;
    if (rounds > full) sum += rounds / full / 2;
    for (; rounds > full; rounds >>= 1) sum >>= 1;
    return sum;
}

static uint8_t send_sample(const struct sample_set *set)
{
    line_begin('S');
    line_comma();
    line_u16(set->sequence);
    line_comma();
    line_u32(set->ticks);
    for (uint8_t number = 0; number < BOARD_CHANNELS; number++) {
        line_comma();
        line_u16(scaled(set->sums[number], set->rounds));
    }
    return line_send();
}

/* A light that blinks about once a second says that the board is sampling. */
static void show_life(uint16_t clock_high)
{
    if (clock_high & 16) PORTB |= _BV(PB5);
    else PORTB &= (uint8_t)~_BV(PB5);
}

/* Until the next interrupt. Looked at with interrupts off, so that nothing arrives between look and sleep. */
static void sleep_if_idle(void)
{
    cli();
    if (!sampler_oldest() && !serial_waiting()) {
        sleep_enable();
        sei();
        sleep_cpu();
        sleep_disable();
    }
    sei();
}

int main(void)
{
    uint8_t reset_cause = MCUSR;
    MCUSR = 0;
    /* After a watchdog reset it runs on, at its shortest time. */
    wdt_disable();
    DDRB |= _BV(DDB5);
    notices_start(reset_cause);
    identity_start();
    serial_start();
    /* Ends whatever line the reset cut off. */
    serial_send("\n", 1);
    sampler_start();
    set_sleep_mode(SLEEP_MODE_IDLE);
    wdt_enable(WDTO_120MS);
    sei();

    for (;;) {
        obey();
        /* The answer to a command goes before the samples that it affects. */
        if (identity_due && identity_send()) identity_due = 0;
        if (sampler_alive()) {
            wdt_reset();
            uint16_t clock_high = sampler_clock_high();
            show_life(clock_high);
            if (!identity_due) notices_send(clock_high);
        }
        const struct sample_set *set = identity_due ? 0 : sampler_oldest();
        if (set) {
            if (sending && !send_sample(set)) notice_count(OVERFLOW);
            sampler_release();
        } else {
            sleep_if_idle();
        }
    }
}
