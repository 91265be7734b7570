#include "identity.h"

#include "config.h"

#include <avr/eeprom.h>
#include <avr/io.h>
#include <avr/pgmspace.h>
#include <avr/wdt.h>
#include <string.h>

#include "crc16.h"
#include "line.h"
#include "sampler.h"

/* Names are filled up with 0. A sensor type that begins with 0 stands for BOARD_SENSOR. `identity-image.ts`
   writes the same record. */
static struct {
    char board_id[MAX_NAME_LENGTH];
    char sensor_types[8][MAX_NAME_LENGTH];
    /* CRC-16 of all before, high byte first. */
    uint8_t check[2];
} record;

#define RECORD_ADDRESS ((void *)0)

/* Memory holds a pattern at power-up that differs from chip to chip. */
static uint16_t memory_pattern[2] __attribute__((section(".noinit")));

void read_memory_pattern(void);
void __attribute__((noinline, used)) read_memory_pattern(void)
{
    /* After a watchdog reset the watchdog runs on at its shortest, 16 ms; this takes 6 ms. */
    wdt_reset();
    uint16_t forwards = CRC_START, backwards = CRC_START;
    for (uint16_t at = 0; at <= RAMEND - RAMSTART; at++) {
        forwards = crc16_step(forwards, *(const volatile uint8_t *)(RAMSTART + at));
        backwards = crc16_step(backwards, *(const volatile uint8_t *)(RAMEND - at));
    }
    memory_pattern[0] = forwards;
    memory_pattern[1] = backwards;
}

/* Before the variables are cleared. */
void before_variables(void);
void __attribute__((naked, used, section(".init3"))) before_variables(void)
{
    __asm__ volatile("call read_memory_pattern");
}

static uint16_t record_crc(void)
{
    uint16_t crc = CRC_START;
    const uint8_t *bytes = (const uint8_t *)&record;
    for (uint8_t at = 0; at < sizeof record - sizeof record.check; at++) crc = crc16_step(crc, bytes[at]);
    return crc;
}

static void hex_word(char *text, uint16_t word)
{
    for (uint8_t digit = 4; digit--; word >>= 4) {
        uint8_t value = word & 0xF;
        text[digit] = (char)(value < 10 ? '0' + value : 'A' - 10 + value);
    }
}

void identity_start(void)
{
    eeprom_read_block(&record, RECORD_ADDRESS, sizeof record);
    uint16_t crc = record_crc();
    if (record.board_id[0] && record.check[0] == crc >> 8 && record.check[1] == (crc & 0xFF)) return;

    memset(&record, 0, sizeof record);
    record.board_id[0] = 'B';
    hex_word(record.board_id + 1, memory_pattern[0]);
    hex_word(record.board_id + 5, sampler_noise(memory_pattern[1]));
    crc = record_crc();
    record.check[0] = (uint8_t)(crc >> 8);
    record.check[1] = (uint8_t)crc;
    eeprom_update_block(&record, RECORD_ADDRESS, sizeof record);
}

static void put_name(const char *name)
{
    char text[MAX_NAME_LENGTH + 1];
    memcpy(text, name, MAX_NAME_LENGTH);
    text[MAX_NAME_LENGTH] = 0;
    line_text(text);
}

uint8_t identity_send(void)
{
    line_begin('I');
    line_text_P(PSTR("," PROTOCOL_VERSION ","));
    put_name(record.board_id);
    line_text_P(PSTR("," FIRMWARE_VERSION ","));
    line_u16(sampler_rate_hz());
    line_comma();
    line_u32(CLOCK_RATE_HZ);
    line_comma();
    line_u16(BOARD_CHANNELS > 1 ? sampler_conversion_ticks() : 0);
    line_comma();
    line_u16(FULL_SCALE_COUNTS);
    line_comma();
    line_u16(BOARD_CHANNELS);
    for (uint8_t number = 0; number < BOARD_CHANNELS; number++) {
        line_comma();
        if (record.sensor_types[number][0]) put_name(record.sensor_types[number]);
        else line_text_P(PSTR(BOARD_SENSOR));
    }
    return line_send();
}
