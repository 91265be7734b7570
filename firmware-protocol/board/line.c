#include "config.h"

#include <avr/pgmspace.h>

#include "crc16.h"
#include "line.h"
#include "serial.h"

static char line[MAX_LINE_BYTES];
static uint8_t length;
static uint16_t crc;

static void put(char character)
{
    line[length++] = character;
    crc = crc16_step(crc, (uint8_t)character);
}

void line_begin(char kind)
{
    length = 0;
    crc = CRC_START;
    put(kind);
}

void line_comma(void)
{
    put(',');
}

void line_text(const char *text)
{
    while (*text) put(*text++);
}

void line_text_P(const char *text)
{
    for (char character; (character = (char)pgm_read_byte(text)); text++) put(character);
}

/* Subtracting powers of ten: this processor has no division, and one in software costs several times as much. */
static const uint32_t LONG_POWERS[] PROGMEM = {1000000000, 100000000, 10000000, 1000000, 100000, 10000};
static const uint16_t SHORT_POWERS[] PROGMEM = {10000, 1000, 100, 10};
#define LENGTH_OF(array) (sizeof(array) / sizeof *(array))

/* Digits from this power on; leading zeros are left out until one digit has been put. */
static void put_digits(uint16_t value, uint8_t power_index, uint8_t started)
{
    for (; power_index < LENGTH_OF(SHORT_POWERS); power_index++) {
        uint16_t power = pgm_read_word(&SHORT_POWERS[power_index]);
        char digit = '0';
        while (value >= power) {
            value -= power;
            digit++;
        }
        if (digit != '0') started = 1;
        if (started) put(digit);
    }
    put((char)('0' + value));
}

void line_u16(uint16_t value)
{
    put_digits(value, 0, 0);
}

void line_u32(uint32_t value)
{
    uint8_t started = 0;
    for (uint8_t at = 0; at < LENGTH_OF(LONG_POWERS); at++) {
        uint32_t power = pgm_read_dword(&LONG_POWERS[at]);
        char digit = '0';
        while (value >= power) {
            value -= power;
            digit++;
        }
        if (digit != '0') started = 1;
        if (started) put(digit);
    }
    put_digits((uint16_t)value, 1, started);
}

static char hex_digit(uint8_t value)
{
    return (char)(value < 10 ? '0' + value : 'A' - 10 + value);
}

uint8_t line_send(void)
{
    uint16_t check = crc;
    line[length++] = '*';
    for (uint8_t shift = 16; shift; shift -= 4) line[length++] = hex_digit((check >> (shift - 4)) & 0xF);
    line[length++] = '\n';
    return serial_send(line, length);
}
