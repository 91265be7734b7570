/* Builds one line at a time with its checksum and hands it to the serial line as a whole. */
#ifndef LINE_H
#define LINE_H

#include <stdint.h>

void line_begin(char kind);
void line_comma(void);
void line_text(const char *text);
/* From program memory. */
void line_text_P(const char *text);
void line_u16(uint16_t value);
void line_u32(uint32_t value);

/* Adds checksum and line ending; returns 0 when there was no room for all of it and nothing was sent. */
uint8_t line_send(void);

#endif
