/* What hangs on the pins of a chip: contacts, diodes, shift-in chains, I2C expanders, multiplexers, voltages. For tests. */
#ifndef NETS_H
#define NETS_H

#include <stdbool.h>
#include <stdint.h>

enum { PINS = 64, GND = 64, VCC = 65, NODES = 256 };
enum drive { NONE, WEAK_HIGH, LOW, HIGH };

void nets_clear(void);
int nets_node(const char *name);                    /* a pin's number, gnd, vcc, or a node of that name, made if it is new; -1: no room */
void nets_chip(uint8_t pin, enum drive d);          /* what the chip does with a pin */
void nets_wire(int node, enum drive d);             /* an outside driver */
bool nets_switch(const char *name, int a, int b, bool diode);
bool nets_close(const char *name, bool closed);
bool nets_level(uint8_t pin);                       /* as the chip reads it */
void nets_snapshot(void);
bool nets_seen(uint8_t pin);                        /* as the last snapshot has it */
char nets_show(int node);                           /* '0', '1', 'z' */
bool nets_chain(const char *name, int load, int clock, int data, int bits);
bool nets_chainbit(const char *name, int k, bool on);
bool nets_expander(const char *name, int data, int clock, int address);
bool nets_line(const char *name, int k, enum drive d);
bool nets_absent(const char *name, bool absent);
bool nets_lines(const char *name, uint16_t *levels);
bool nets_mux(const char *name, int channel, const int select[3]);
bool nets_muxline(const char *name, int k, int mv);
void nets_adc(int channel, int mv);
int nets_mv(int channel);                           /* voltage at an ADC channel */

extern unsigned nets_floating; /* readings of pins that nothing holds */
extern unsigned nets_fights;   /* pins driven both ways */

#endif
