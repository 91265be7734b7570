/* What the person should know of: one counter for each kind of event, reported when it has grown. */
#ifndef NOTICES_H
#define NOTICES_H

#include <stdint.h>

enum notice { OVERFLOW, BROWN_OUT, WATCHDOG, BAD_COMMAND, ADC_FAULT, NOTICES };

/* Brings in what led to this start; counters survive a reset and start at 0 with the power. */
void notices_start(uint8_t reset_cause);

/* Adds one event; stays at 65535. */
void notice_count(enum notice notice);

/* The same for interrupt routines. */
void notice_count_in_interrupt(enum notice notice);

/* Sends one line when a counter has grown and there is room, at most one in 131 ms. */
void notices_send(uint16_t now);

#endif
