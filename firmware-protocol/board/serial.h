/* The serial line: two ring buffers between the interrupts and the main loop. */
#ifndef SERIAL_H
#define SERIAL_H

#include <stdint.h>

void serial_start(void);

/* Puts all of it into the ring, or nothing and returns 0 when there is no room. Never waits. */
uint8_t serial_send(const char *bytes, uint8_t length);

/* The next received byte, or -1 when there is none. A byte that arrived damaged or too many reads as 0. */
int16_t serial_receive(void);

/* Whether a received byte waits to be taken. */
uint8_t serial_waiting(void);

#endif
