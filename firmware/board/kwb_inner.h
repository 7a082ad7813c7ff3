/* What the files of the board layer share. */
#ifndef KWB_INNER_H
#define KWB_INNER_H

#include "kwb.h"

void kwb_bus_begin(void);
void kwb_bus_slice(uint8_t *raw);
bool kwb_bus_seen(void);          /* each expander has been read, or does not answer */
void kwb_analog_begin(void);
bool kwb_analog_slice(uint8_t *raw); /* true: a voltage was taken, which takes its time */
bool kwb_analog_seen(void); /* each voltage has been read often enough for a ladder */
bool kwb_seen_all(void);

#endif
