#include "config.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "serial.h"

/* 256 so that eight-bit indices wrap by themselves; one place stays empty to tell full from empty. */
#define TX_RING 256
#define RX_RING 64

#define LISTEN_ONLY (_BV(RXCIE0) | _BV(RXEN0) | _BV(TXEN0))
#define LISTEN_AND_SEND (LISTEN_ONLY | _BV(UDRIE0))

static char tx_ring[TX_RING];
static volatile uint8_t tx_head, tx_tail;
static uint8_t rx_ring[RX_RING];
static volatile uint8_t rx_head, rx_tail;

void serial_start(void)
{
    UBRR0 = BAUD_DIVISOR - 1;
    UCSR0A = _BV(U2X0);
    UCSR0C = _BV(UCSZ01) | _BV(UCSZ00);
    UCSR0B = LISTEN_ONLY;
}

uint8_t serial_send(const char *bytes, uint8_t length)
{
    uint8_t head = tx_head;
    uint8_t room = (uint8_t)(tx_tail - head - 1);
    if (room < length) return 0;
    while (length--) tx_ring[head++] = *bytes++;
    /* Together, so that the interrupt never finds itself enabled with nothing to send. */
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        tx_head = head;
        UCSR0B = LISTEN_AND_SEND;
    }
    return 1;
}

int16_t serial_receive(void)
{
    uint8_t tail = rx_tail;
    if (tail == rx_head) return -1;
    uint8_t byte = rx_ring[tail];
    rx_tail = (tail + 1) % RX_RING;
    return byte;
}

uint8_t serial_waiting(void)
{
    return rx_tail != rx_head;
}

ISR(USART_UDRE_vect)
{
    uint8_t tail = tx_tail;
    UDR0 = tx_ring[tail++];
    tx_tail = tail;
    if (tail == tx_head) UCSR0B = LISTEN_ONLY;
}

ISR(USART_RX_vect)
{
    /* The status belongs to the byte and is gone once the byte is read. */
    uint8_t damaged = UCSR0A & (_BV(FE0) | _BV(DOR0));
    uint8_t byte = UDR0;
    uint8_t head = rx_head;
    uint8_t next = (head + 1) % RX_RING;
    if (next == rx_tail) {
        rx_ring[(head + RX_RING - 1) % RX_RING] = 0;
        return;
    }
    rx_ring[head] = damaged ? 0 : byte;
    rx_head = next;
}
