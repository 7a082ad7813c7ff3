/* What the files of this chip share. */
#ifndef RUN_H
#define RUN_H

#include <stdbool.h>
#include <stdint.h>

#define TABLE_ADDRESS 0x1000F000u
#define TABLE_ROOM 4096u

/* main.c */
void kw_main(void) __attribute__((noreturn));
void kw_on_sample(void);
void kw_on_alarm(void);

/* While the bus sleeps: 12 MHz off the crystal, the system's PLL off. That of USB runs on: the controller must see the bus move. */
void kw_clock_low(void);
void kw_clock_full(void);
extern bool kw_clock_is_low;

/* device.c: the USB device */
void kw_on_usb(void);
void kw_usb_begin(void);
void kw_usb_end(void);         /* leaves the bus */
void kw_usb_serve(void);       /* does what the bus asked for */
bool kw_usb_waiting(void);     /* whether it asked for something */
void kw_usb_fill(void);        /* hands reports to the endpoints that are free */
uint8_t kw_usb_command(void);  /* what the host asked for, once its request is through */
void kw_usb_ms(void);          /* once a millisecond */
extern volatile bool kw_usb_slept; /* the bus sleeps */

#endif
