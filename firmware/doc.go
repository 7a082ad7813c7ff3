// Package firmware has the two halves of what runs on a panel's module: in core/, the C source of the portable core, which knows no
// chip; and here the table that tells the core what one panel does, in the form that the core reads.
//
// The same core is built for the PC by the tests (host/twin.c) and driven by lines of text.
package firmware
