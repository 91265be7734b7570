/* CRC-16/IBM-3740: polynomial 0x1021, start 0xFFFF, most significant bit first. Check value 0x29B1. */
#ifndef CRC16_H
#define CRC16_H

#include <stdint.h>

#define CRC_START 0xFFFFu

/* Eight steps of the bitwise division at once: no table, about 20 machine instructions. */
static inline __attribute__((always_inline)) uint16_t crc16_step(uint16_t crc, uint8_t byte)
{
    crc = (uint16_t)((crc << 8) | (crc >> 8));
    crc ^= byte;
    crc ^= (uint8_t)crc >> 4;
    crc ^= (uint16_t)(crc << 12);
    crc ^= (uint16_t)((uint16_t)(uint8_t)crc << 5);
    return crc;
}

#endif
