package circuit

import (
	"errors"
	"fmt"
	"strings"
)

var (
	// ErrEmpty means that a network has no elements.
	ErrEmpty = errors.New("the network has no elements")
	// ErrNoGround means that no element touches [Ground], so that no voltage is known.
	ErrNoGround = errors.New(`nothing touches ground: one node must be "0"`)
	// ErrSingular means that the equations have no single solution although every node is held: the values are too far apart.
	ErrSingular = errors.New("the network has no single solution: its values are too far apart")
	// ErrTooBig means that a network has more than [MaxUnknowns] node voltages and branch currents.
	ErrTooBig = fmt.Errorf("the network has more than %d unknowns", MaxUnknowns)
)

// ValueError reports a value that no element of its kind can have.
type ValueError struct {
	Name     string // element
	Value    float64
	Unit     string
	Min, Max float64
}

func (e *ValueError) Error() string {
	return fmt.Sprintf("%s is given %g %s; from %g to %g is wanted", e.Name, e.Value, e.Unit, e.Min, e.Max)
}

// NameError reports an element without a name, with a name already used, or one that does not exist.
type NameError struct {
	Name  string
	Twice bool
}

func (e *NameError) Error() string {
	switch {
	case e.Name == "":
		return "an element has no name"
	case e.Twice:
		return fmt.Sprintf("two elements are named %s", e.Name)
	}
	return fmt.Sprintf("no element is named %s", e.Name)
}

// FloatingError reports nodes whose voltage nothing decides: they reach ground through no resistor, switch, diode or voltage source.
type FloatingError struct{ Nodes []string }

func (e *FloatingError) Error() string {
	if len(e.Nodes) == 1 {
		return fmt.Sprintf("node %s floats: nothing but current sources ties it to ground", e.Nodes[0])
	}
	return fmt.Sprintf("nodes %s float: nothing but current sources ties them to ground", list(e.Nodes))
}

// LoopError reports voltage sources that form a ring, so that their voltages contradict each other or leave the current open.
type LoopError struct{ Sources []string }

func (e *LoopError) Error() string {
	if len(e.Sources) == 1 {
		return fmt.Sprintf("voltage source %s has both ends on one node", e.Sources[0])
	}
	return fmt.Sprintf("voltage sources %s form a loop without a resistance", list(e.Sources))
}

// ConvergeError reports that no operating point was found.
type ConvergeError struct {
	Iterations int
	Worst      string // the diode that moved most in the last step
}

func (e *ConvergeError) Error() string {
	return fmt.Sprintf("no operating point found in %d steps; %s would not settle", e.Iterations, e.Worst)
}

// list joins names for people, at most eight of them.
func list(names []string) string {
	const most = 8
	if len(names) > most {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", len(names)-most)
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
