module knobwright/testdata/peers/gonum

go 1.26.0

require (
	gonum.org/v1/gonum v0.16.0
	knobwright v0.0.0
)

replace knobwright => ../../..
