#include "command.h"

#include "config.h"
#include "crc16.h"
#include "serial.h"

static char text[MAX_COMMAND_BYTES];
/* Counts on when the buffer is full, so that the whole of an overlong command is refused. */
static uint8_t length;

static int8_t hex_value(char digit)
{
    if (digit >= '0' && digit <= '9') return (int8_t)(digit - '0');
    if (digit >= 'A' && digit <= 'F') return (int8_t)(digit - 'A' + 10);
    return -1;
}

/* Length of the body when the checksum is right, else 0. */
static uint8_t checked_body(void)
{
    if (length < 6 || length > MAX_COMMAND_BYTES) return 0;
    uint8_t star = length - 5;
    if (text[star] != '*') return 0;
    uint16_t crc = CRC_START, sent = 0;
    for (uint8_t at = 0; at < star; at++) crc = crc16_step(crc, (uint8_t)text[at]);
    for (uint8_t at = star + 1; at < length; at++) {
        int8_t value = hex_value(text[at]);
        if (value < 0) return 0;
        sent = (uint16_t)(sent << 4 | (uint8_t)value);
    }
    return sent == crc ? star : 0;
}

static enum command parse_rate(uint8_t body, uint16_t *rate_hz)
{
    if (body < 3 || body > 6 || text[1] != ',' || text[2] == '0') return BAD;
    uint16_t value = 0;
    for (uint8_t at = 2; at < body; at++) {
        if (text[at] < '0' || text[at] > '9') return BAD;
        value = (uint16_t)(value * 10 + (uint8_t)(text[at] - '0'));
    }
    *rate_hz = value;
    return RATE;
}

static enum command parse(uint16_t *rate_hz)
{
    uint8_t body = checked_body();
    if (!body) return BAD;
    if (text[0] == 'r') return parse_rate(body, rate_hz);
    if (body != 1) return BAD;
    switch (text[0]) {
    case 'i': return IDENTIFY;
    case 's': return START;
    case 'x': return STOP;
    default: return BAD;
    }
}

enum command command_receive(uint16_t *rate_hz)
{
    for (int16_t byte; (byte = serial_receive()) >= 0;) {
        if (byte != '\n') {
            if (length < MAX_COMMAND_BYTES) text[length] = (char)byte;
            if (length < UINT8_MAX) length++;
            continue;
        }
        if (length && length <= MAX_COMMAND_BYTES && text[length - 1] == '\r') length--;
        enum command command = length ? parse(rate_hz) : NO_COMMAND;
        length = 0;
        if (command != NO_COMMAND) return command;
    }
    return NO_COMMAND;
}
