/*
 * The ATmega32U4 with a panel's core, run by simavr, with models of its surroundings: what hangs on its pins, and a USB host.
 *
 * For tests only; nothing that ships links it. These sources are under the licence of the whole project (MIT). The program made of them
 * links simavr, which is under the GNU General Public License, version 3 or later: so is the program, and whoever passes it on keeps to
 * that licence.
 */
#ifndef RIG_H
#define RIG_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <sim_avr.h>
#include <sim_hex.h>
#include <sim_io.h>
#include <sim_time.h>

extern avr_t *avr;

/* main.c */
void rig_run(uint64_t us);
void rig_lint(const char *format, ...) __attribute__((format(printf, 1, 2)));
void rig_hook(avr_io_addr_t address, avr_io_read_t read, avr_io_write_t write);
static inline uint64_t rig_cycles(double us) { return (uint64_t)(us * avr->frequency / 1e6); }

/* nets.c: nodes, and what connects and drives them */
enum level { LOW, HIGH, FLOATS };
enum { GND = 40, VCC = 41, NODES = 400 };
int net_node(const char *name); /* makes it where it is new */
void net_switch(const char *name, int a, int b, bool diode);
bool net_close(const char *name, bool closed);
void net_wire(int node, enum level);   /* from outside */
void net_part(int node, enum level);   /* from a part, strong */
void net_pull_up(int node);            /* a resistor outside */
enum level net_level(int node);        /* as it is, without the time that a pull-up takes */
void net_hook(void);
void net_reset(void);
void net_changed(void);
void net_slow(double us); /* how long the chip's own pull-ups take */

/* parts.c: chains, expanders, multiplexers */
void part_chain(const char *name, int load, int clock, int data, int bits);
bool part_chainbit(const char *name, int k, bool on);
void part_expander(const char *name, int data, int clock, int address);
bool part_line(const char *name, int k, enum level);
bool part_lines(const char *name, unsigned *out);
bool part_absent(const char *name, bool absent);
void part_mux(const char *name, int channel, int s0, int s1, int s2);
bool part_muxline(const char *name, int k, int mv);
int part_mux_of(int channel, int *line); /* number of the multiplexer on a channel, or -1 */
int part_mux_mv(int mux, int line);
bool part_look(void); /* levels have changed; true where a part drives something else now */

/* adc.c */
void adc_hook(void);
void adc_reset(void);
void adc_set(int channel, int mv);

/* watchdog.c */
void watchdog_hook(void);
void watchdog_reset(void);
void watchdog_passed(void);
int watchdog_ioctl(struct avr_io_t *io, uint32_t ctl, void *param);
int watchdog_restarts(void); /* resets by it since the image was loaded */
void watchdog_forget(void);
bool watchdog_on(void);

/* usb.c: the controller and the host */
enum answer { ACK, NAK, STALL, TIMEOUT };
void usb_hook(void);
void usb_chip_reset(void);
void usb_passed(void); /* after each instruction */
bool usb_attached(void);
enum answer usb_setup(const uint8_t s[8]);
void usb_give_up(void);
enum answer usb_in(int ep, uint8_t *data, int *n);
enum answer usb_out(int ep, const uint8_t *data, int n);
void usb_bus_reset(void);
void usb_address(int n);
void usb_sof(bool on);
void usb_suspend(void);
void usb_resume(void);
bool usb_woken(void); /* since last asked */

#endif
