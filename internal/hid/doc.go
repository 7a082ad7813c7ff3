// Package hid builds, reads and explains report descriptors: the few dozen bytes by which a USB input device tells its host what
// its reports hold. It follows the USB Device Class Definition for Human Interface Devices (HID), version 1.11, and the names of the
// HID Usage Tables. It knows nothing of panels, chips or USB transfers.
//
// The way down:
//
//	bytes --Items--> items --Parse--> Descriptor (collections, Reports with Fields) --Decode--> controls and their values
//
// and the way up:
//
//	Joystick, Keyboard, Consumer, ... --Build--> bytes (or Builder, item by item), --Encode--> a report
//
// Whatever Builder.Finish and Build give was parsed back and compared with what was asked for.
//
// Bits are counted as the standard counts them: bit 0 is the lowest bit of the first byte, a field wider than a bit has its lowest
// bit first, and offsets do not count the byte of the report number, which is sent first where report numbers are in use.
//
// Configuration is the other thing that a host is told first: interfaces and endpoints, those of USB-MIDI too.
//
// Everything here is pure, and no input makes it panic: broken descriptors give a *ParseError with the offset of the item.
package hid
