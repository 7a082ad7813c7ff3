/* What the files of the board layer share. */
#ifndef KWB_INNER_H
#define KWB_INNER_H

#include "kwb.h"

void kwb_bus_begin(void);
void kwb_bus_slice(uint8_t *raw);
void kwb_analog_begin(void);
void kwb_analog_slice(uint8_t *raw);

#endif
