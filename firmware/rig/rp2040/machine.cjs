// An emulated RP2040 with its boot ROM's part played by this file, its pins on nets, and its USB on the token model.
"use strict";

const path = require("node:path");
const fs = require("node:fs");
const { Nets, PINS } = require("./nets.cjs");
const { USB } = require("./usb.cjs");

// The emulator, from beside this file or from the folder that the tests name.
function emulator() {
  const places = [__dirname];
  if (process.env.KNOBWRIGHT_RIG) places.push(path.resolve(process.env.KNOBWRIGHT_RIG, "rp2040"));
  return require(require.resolve("rp2040js", { paths: places }));
}
const { RP2040 } = emulator();

const FLASH = 0x10000000, TABLE = 0xF000, STACK_TOP = 0x20040000, PAINT = 0xA5;
const LOADER = 0x55;

// What must be out of reset before it is used: data sheet, 2.14.
const RESETS = { 0x40014: 5, 0x4001C: 8, 0x40028: 12, 0x4002C: 13, 0x4004C: 0, 0x40054: 21, 0x50110: 24 };

class Machine {
  constructor() {
    this.flash = null;
    this.base = 0;
    this.lints = new Map();
    this.nets = new Nets((text) => this.lint(text));
    this.usb = new USB(this, (text) => this.lint(text));
    this.mv = [0, 0, 0, 0];
    this.muxes = [];
    this.restarts = 0;
    this.mcu = null;
    this.halted = true;
    this.watch = null;
  }

  lint(text) { this.lints.set(text, (this.lints.get(text) ?? 0) + 1); }
  now() { return this.mcu ? this.base + this.mcu.clock.nanos : this.base; }

  load(file) {
    const flash = new Uint8Array(2 << 20).fill(0xFF);
    if (/\.uf2$/i.test(file)) this.readUF2(fs.readFileSync(file), flash);
    else {
      const [core, table] = file.split("+");
      flash.set(fs.readFileSync(core), 0);
      if (table) flash.set(fs.readFileSync(table), TABLE);
    }
    this.flash = flash;
    this.lints.clear();
    this.restarts = 0;
    this.usb.forget();
    this.boot();
  }

  // readUF2 writes blocks as the boot ROM does: it takes those for its family, and erases a sector at every 16th block number, so each
  // group of 16 must lie in one sector.
  readUF2(file, flash) {
    if (file.length === 0 || file.length % 512 !== 0) throw new Error("not whole blocks");
    const sectors = new Map();
    for (let at = 0; at < file.length; at += 512) {
      const word = (n) => file.readUInt32LE(at + n);
      if (word(0) !== 0x0A324655 || word(4) !== 0x9E5D5157 || word(508) !== 0x0AB16F30) throw new Error("a block without its marks");
      if (!(word(8) & 0x2000) || word(28) !== 0xE48BFF56 || word(8) & 1) continue;
      const to = word(12) - FLASH, n = word(16), group = word(20) >> 4;
      if (to < 0 || to + n > flash.length || n !== 256) throw new Error("a block that does not lie in flash");
      const sector = to >> 12;
      if (!sectors.has(group)) {
        sectors.set(group, sector);
        flash.fill(0xFF, sector << 12, (sector + 1) << 12);
      } else if (sectors.get(group) !== sector) this.lint("16 blocks of a UF2 lie in more than one sector");
      flash.set(file.subarray(at + 32, at + 32 + n), to);
    }
    if (sectors.size === 0) throw new Error("no block is for this chip");
  }

  // boot is power-up: the ROM checks the boot block, copies it to memory and runs it there.
  boot() {
    if (this.mcu) this.base += this.mcu.clock.nanos;
    const mcu = (this.mcu = new RP2040());
    mcu.logger = { debug() {}, info() {}, warn: (n, m) => this.lint(`emulator: ${n}: ${m}`), error: (n, m) => this.lint(`emulator: ${n}: ${m}`) };
    mcu.flash.set(this.flash);
    mcu.sram.fill(PAINT);
    this.rom(mcu);
    this.pins(mcu);
    this.resets(mcu);
    this.voltages(mcu);
    mcu.onBreak = (code) => {
      if (code === LOADER && mcu.core.PC < 0x4000) {
        if (mcu.core.registers[0] !== 0 || mcu.core.registers[1] !== 0) this.lint("the loader is asked for something unusual");
        this.toLoader();
      } else {
        this.lint(`stopped at 0x${mcu.core.PC.toString(16)}`);
        this.halted = true;
      }
    };
    const watchdog = mcu.peripherals[0x40058];
    watchdog.tickEnable = false;
    watchdog.onWatchdogTrigger = () => {
      watchdog.alarm.enable = false; // the emulator would call for ever
      this.again = true;
    };
    this.again = false;
    this.loader = false;
    this.halted = false;
    this.usb.begin();
    const want = new DataView(this.flash.buffer).getUint32(252, true);
    if (bootCRC(this.flash.subarray(0, 252)) !== want) {
      this.toLoader();
      return;
    }
    mcu.sram.set(this.flash.subarray(0, 256), 0x41F00);
    const { core } = mcu;
    core.VTOR = 0;
    core.SP = 0x20041F00;
    core.LR = 0;
    core.PC = 0x20041F00;
  }

  toLoader() {
    this.loader = true;
    this.halted = true;
    this.mcu.usbCtrl.sieCtrl = 0;
  }

  // rom has the table of functions, the search in it, and the one function that is used: a stop that this file takes for the loader.
  rom(mcu) {
    const rom = new DataView(mcu.bootrom.buffer);
    const put = (at, ...words) => words.forEach((w, i) => rom.setUint16(at + 2 * i, w, true));
    rom.setUint32(0x10, 0x0201754D, true);
    put(0x14, 0x140, 0x150, 0x101);
    put(0x100, 0x8802, 0x2A00, 0xD003, 0x428A, 0xD003, 0x3004, 0xE7F8, 0x2000, 0x4770, 0x8840, 0x4770);
    put(0x120, 0xBE00 | LOADER, 0xE7FE);
    put(0x140, 0x4653, 0x0131, 0x4255, 0x0121, 0, 0);
  }

  pins(mcu) {
    const { nets } = this, { sio } = mcu;
    Object.defineProperty(mcu, "gpioValues", { get: () => nets.bits });
    const all = (1 << PINS) - 1;
    let mine = 0, cut = 0;
    const drive = () => {
      nets.chip.oe = sio.gpioOutputEnable & mine & ~cut;
      nets.chip.out = sio.gpioValue;
      nets.update();
    };
    nets.chip = { oe: 0, out: 0, up: 0, down: all, input: all };
    const shape = () => {
      const c = nets.chip;
      c.up = c.down = c.input = mine = cut = 0;
      mcu.gpio.forEach((g, i) => {
        if (g.pullupEnabled) c.up |= 1 << i;
        if (g.pulldownEnabled) c.down |= 1 << i;
        if (g.inputEnable) c.input |= 1 << i;
        if (g.functionSelect === 5) mine |= 1 << i;
        if (g.outputDisable) cut |= 1 << i;
      });
      drive();
    };
    mcu.gpio.forEach((g) => { g.padValue = 0x56; });
    shape();
    after(mcu.peripherals[0x4001C], "writeUint32", shape);
    after(mcu.peripherals[0x40014], "writeUint32", shape);
    const write = sio.writeUint32.bind(sio);
    sio.writeUint32 = (offset, value) => {
      const out = sio.gpioValue, oe = sio.gpioOutputEnable;
      write(offset, value);
      if (oe !== sio.gpioOutputEnable || ((out ^ sio.gpioValue) & oe) !== 0) drive();
    };
  }

  resets(mcu) {
    const resets = mcu.peripherals[0x4000C];
    resets.reset = 0x01FFFFFF & ~(1 << 6 | 1 << 9);
    const write = resets.writeUint32.bind(resets);
    resets.writeUint32 = (offset, value) => {
      write(offset, value);
      resets.reset_done = ~resets.reset & 0x01FFFFFF;
      if (resets.reset >>> 24 & 1) {
        const c = mcu.usbCtrl;
        c.addrEndp = c.sieStatus = c.buffStatus = c.sieCtrl = c.mainCtrl = c.intEnable = c.epStallArm = c.intRaw = 0;
        c.checkInterrupts();
      }
    };
    resets.reset_done = ~resets.reset & 0x01FFFFFF;
    for (const [at, bit] of Object.entries(RESETS)) {
      const p = mcu.peripherals[at];
      for (const way of ["readUint32", "writeUint32"]) {
        const real = p[way].bind(p);
        p[way] = (offset, value) => {
          if (resets.reset >>> bit & 1) {
            this.lint(`0x${Number(at).toString(16)} is used while it is in reset`);
            return 0;
          }
          return real(offset, value);
        };
      }
    }
    const timer = mcu.peripherals[0x40054], read = timer.readUint32.bind(timer);
    timer.readUint32 = (offset) => {
      if (!mcu.peripherals[0x40058].tickEnable) this.lint("the timer stands still: the watchdog's tick is off");
      return read(offset);
    };
  }

  voltages(mcu) {
    mcu.adc.onADCRead = (channel) => {
      if (!(mcu.clocks.adcCtrl & 1 << 11)) this.lint("the converter's clock is off");
      const mux = this.muxes.find((m) => m.channel === channel);
      const mv = mux ? mux.voltage() : this.mv[channel] ?? 0;
      mcu.adc.channelValues[channel] = Math.max(0, Math.min(4095, Math.floor(mv / 3300 * 4096)));
      mcu.adc.currentChannel = channel;
      mcu.adc.sampleAlarm.schedule(2000);
    };
  }

  run(ns) { this.until(this.now() + ns); }

  until(end) {
    if (!this.mcu) {
      this.base = Math.max(this.base, end);
      return;
    }
    while (this.now() < end - 1e-6) {
      const { mcu } = this, { core, clock } = mcu;
      const stop = end - this.base, last = stop - 1e-6;
      while (clock.nanosCounter < last && !this.again) {
        if (this.halted || (core.waiting && !(core.pendingInterrupts & core.enabledInterrupts))) {
          clock.tick(Math.max(0, Math.min(stop - clock.nanos, clock.nanosToNextAlarm)));
        } else {
          core.waiting = false;
          const ns = core.executeInstruction() * 1e9 / mcu.clkSys, then = clock.nanosCounter + ns;
          if (clock.nextAlarm !== null && clock.nextAlarm.nanos <= then) clock.tick(ns);
          else clock.nanosCounter = then; // as tick does, when no alarm is due
        }
        if (this.watch !== null && this.watch()) return;
      }
      if (this.again) {
        this.restarts++;
        this.boot();
      }
    }
  }

  // cycles gives what the core counts of its ticks, and how deep the stack has been.
  cycles() {
    const { sram } = this.mcu, view = new DataView(sram.buffer, sram.byteOffset);
    const [, worst, sum, count] = [0, 4, 8, 12].map((n) => view.getUint32(0x40000 + n, true));
    let low = STACK_TOP - 0x20000000 - 4096;
    while (low < 0x40000 && sram[low] === PAINT) low++;
    return [count ? Math.round(sum / count) : 0, worst, 0x40000 - low];
  }
}

function after(object, method, then) {
  const real = object[method].bind(object);
  object[method] = (...args) => {
    real(...args);
    then();
  };
}

// CRC-32, polynomial 0x04C11DB7, begun with ones, neither reflected nor inverted: data sheet, 2.8.1.3.1.
function bootCRC(data) {
  let crc = 0xFFFFFFFF;
  for (const b of data) {
    crc ^= b << 24;
    for (let i = 0; i < 8; i++) crc = crc & 0x80000000 ? crc << 1 ^ 0x04C11DB7 : crc << 1;
  }
  return crc >>> 0;
}

module.exports = { Machine };
