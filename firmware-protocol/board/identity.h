/* Who this board is. Id and sensor types are kept in the EEPROM, so that a new program does not change them. */
#ifndef IDENTITY_H
#define IDENTITY_H

#include <stdint.h>

/* Reads the EEPROM; at the very first start makes up an id and writes it there. Before sampler_start. */
void identity_start(void);

/* Sends the identity line; returns 0 when there was no room. */
uint8_t identity_send(void);

#endif
