package circuit

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// Netlist writes the network as a deck for a SPICE program: title, elements, models, options, .op, .end. Nodes are called n1, n2
// and so on (see [Network.SpiceNode]), because such programs tell names by their first letter and not by case; comments give the
// names of the network beside them. Errors are those of [Network.Solve] that do not need a solution, and those of w.
func (n *Network) Netlist(w io.Writer, title string) error {
	if err := n.check(); err != nil {
		return err
	}
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "* %s\n", oneLine(title))
	for i, name := range n.nodes {
		if i > 0 {
			fmt.Fprintf(b, "* n%d is %s\n", i, oneLine(name))
		}
	}
	for i := range n.elements {
		e := &n.elements[i]
		fmt.Fprintf(b, "* %s\n%s %s %s ", oneLine(e.name), n.SpiceElement(e.name), spiceNode(e.a), spiceNode(e.b))
		switch e.kind {
		case resistor, contact:
			fmt.Fprintln(b, digits(e.ohm()))
		case voltage, current:
			fmt.Fprintln(b, "dc "+digits(e.value))
		case diode:
			fmt.Fprintf(b, "m%d\n.model m%d d(is=%s n=%s rs=%s)\n", i+1, i+1, digits(e.model.Sat), digits(e.model.vte()/Vt), digits(e.model.Rs))
		}
	}
	// epsmin: some programs raise smaller saturation currents to 1e-28 A, and those of blue lamps are smaller
	fmt.Fprintf(b, ".options gmin=%s temp=%d tnom=%d epsmin=1e-70 reltol=1e-6 abstol=1e-15 vntol=1e-9\n.op\n.end\n", digits(Gmin), Temperature, Temperature)
	return b.Flush()
}

// SpiceNode is what [Network.Netlist] calls a node: "0", "n1", "n2"; empty if there is no such node.
func (n *Network) SpiceNode(name string) string {
	if name == "" || name == Ground {
		return Ground
	}
	if i, ok := n.byNode[name]; ok {
		return spiceNode(i)
	}
	return ""
}

// SpiceElement is what [Network.Netlist] calls an element: "r1", "v2"; empty if there is no such element.
func (n *Network) SpiceElement(name string) string {
	i, ok := n.byName[name]
	if !ok {
		return ""
	}
	letter := map[kind]string{resistor: "r", contact: "r", voltage: "v", current: "i", diode: "d"}[n.elements[i].kind]
	return letter + strconv.Itoa(i+1)
}

func spiceNode(i int) string {
	if i == 0 {
		return Ground
	}
	return "n" + strconv.Itoa(i)
}

func digits(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s)
}
