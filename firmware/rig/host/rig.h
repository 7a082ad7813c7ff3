/* What the files of the panel on a PC share. */
#ifndef RIG_H
#define RIG_H

#include <stdbool.h>
#include <stdint.h>

/* panel.c: lets time pass. */
void rig_pass(unsigned us);

/* bus.c: the host's end of the bus, token by token. What comes back is written as the rig's protocol has it. */
void bus_begin(void);              /* a cold start */
void bus_token(const uint8_t s[8]); /* one SETUP token */
void bus_transfer(const uint8_t s[8], const uint8_t *data, unsigned n);
void bus_twice(const uint8_t first[8], const uint8_t s[8]); /* the second SETUP overtakes the first */
void bus_in(uint8_t endpoint);
void bus_out(uint8_t endpoint, const uint8_t *data, unsigned n);
void bus_reset(void);
void bus_address(uint8_t address); /* whom the host speaks to */
void bus_gone(bool);               /* the firmware has left for the boot loader */
void bus_sleep(bool);
bool bus_quiet(void);              /* no transfer is under way */

extern bool bus_asleep, bus_left;

#endif
