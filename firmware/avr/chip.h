/* What the files of the ATmega32U4's layer share. */
#ifndef CHIP_H
#define CHIP_H

#include <stdbool.h>
#include <stdint.h>

/* hal.c */
void chip_clock(void);  /* at start: full speed, and finds out how quick the crystal is */
bool chip_slow(void);   /* a crystal of 8 MHz, not of 16 */
bool chip_past(void);   /* the next sample of the encoders' pins that has not been looked at, put where hal_seen looks */
void chip_watch_pins(void); /* begins to sample them; after the table */
void chip_ticks(uint16_t us);
uint8_t chip_due(void); /* ticks since it was last asked */

/* power.c */
void chip_quiet(void);
void chip_loader(void) __attribute__((noreturn));
void chip_restart(void) __attribute__((noreturn));
void chip_doze(void); /* sleeps until the bus wakes up, or for 32 ms */
void chip_tap(void);  /* not hung */
void chip_guard(void); /* from now on, chip_tap must be called often */

/* usb.c */
void usb_attach(void);
void usb_detach(void);
void usb_poll(void);   /* events of the bus, and requests */
void usb_reports(void); /* reports to the host, and packets from it */
bool usb_quiet(void);  /* no request is under way */
bool usb_asleep(void);
void usb_freeze(void); /* clock off, while asleep; an interrupt when the bus moves */
void usb_thaw(void);
bool usb_stirred(void); /* the bus moved while the clock was off */
void usb_wake_host(void);

#endif
