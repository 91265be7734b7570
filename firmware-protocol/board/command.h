/* Commands from the computer. */
#ifndef COMMAND_H
#define COMMAND_H

#include <stdint.h>

enum command { NO_COMMAND, IDENTIFY, START, STOP, RATE, BAD };

/* Takes what has arrived; returns the next whole command, if any, and its number in *rate_hz for RATE. */
enum command command_receive(uint16_t *rate_hz);

#endif
