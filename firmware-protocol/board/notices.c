#include "config.h"

#include <avr/io.h>
#include <avr/pgmspace.h>
#include <string.h>
#include <util/atomic.h>

#include "line.h"
#include "notices.h"

/* In units of 2^16 clock ticks (32.8 ms): a flood of events must not fill the line. */
#define QUIET 4

static const char WORDS[NOTICES][12] PROGMEM = {"overflow", "brown-out", "watchdog", "bad-command", "adc-fault"};

#define VALID 0x5AC3u

/* Outside the memory that is cleared at start: only so can a reset be counted. */
static struct {
    uint16_t valid;
    volatile uint16_t counts[NOTICES];
    uint16_t valid_too;
} kept __attribute__((section(".noinit")));

static uint16_t reported[NOTICES];
static uint16_t last_sent;

void notices_start(uint8_t reset_cause)
{
    uint8_t intact = kept.valid == VALID && kept.valid_too == (uint16_t)~VALID;
    if (!intact || (reset_cause & _BV(PORF))) {
        memset((void *)kept.counts, 0, sizeof kept.counts);
        kept.valid = VALID;
        kept.valid_too = (uint16_t)~VALID;
    }
    for (uint8_t notice = 0; notice < NOTICES; notice++) reported[notice] = kept.counts[notice];
    /* With the power both flags may rise together; that is no brown-out but a start. */
    if (reset_cause & _BV(PORF)) return;
    if (reset_cause & _BV(BORF)) notice_count(BROWN_OUT);
    if (reset_cause & _BV(WDRF)) notice_count(WATCHDOG);
}

void notice_count_in_interrupt(enum notice notice)
{
    if (kept.counts[notice] != UINT16_MAX) kept.counts[notice]++;
}

void notice_count(enum notice notice)
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) notice_count_in_interrupt(notice);
}

void notices_send(uint16_t now)
{
    /* The first may go at once. */
    static uint8_t ever;
    if (ever && (uint16_t)(now - last_sent) < QUIET) return;
    for (uint8_t notice = 0; notice < NOTICES; notice++) {
        uint16_t count;
        ATOMIC_BLOCK(ATOMIC_RESTORESTATE) count = kept.counts[notice];
        if (count == reported[notice]) continue;
        line_begin('N');
        line_comma();
        line_text_P(WORDS[notice]);
        line_comma();
        line_u16(count);
        if (!line_send()) return;
        reported[notice] = count;
        last_sent = now;
        ever = 1;
        return;
    }
}
