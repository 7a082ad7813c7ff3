// Package rig runs a panel's firmware where no hardware is at hand: contacts are closed, shafts are turned, time passes, and a USB host
// asks. Four back ends speak one protocol of lines (README.md): the firmware compiled for the PC; the same as WebAssembly, which is
// embedded and needs no compiler (Wasm); and the images of the two chips on emulators of these chips. The last two and the first are for
// tests; the second is the simulated panel for whoever has no panel at hand.
//
//	table --NewPanel--> Panel: Press, Turn, Slide, Run, Reports
//	table --Wire------> a Back whose pins have the contacts that the table reads
package rig
