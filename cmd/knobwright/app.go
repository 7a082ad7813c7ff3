package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"github.com/alecthomas/kong"
	kongcompletion "github.com/jotaen/kong-completion"

	"knobwright/internal/terminal"
)

const version = "0.1.0"

// app is the command line: flags and help live in the tags, the work in each command's Run.
type app struct {
	Strict  bool             `help:"Warnings count: exit with 1 when there are any."`
	JSON    bool             `name:"json" help:"Answer in JSON instead of sentences."`
	Colour  string           `help:"Colour: auto, always or never." enum:"auto,always,never" default:"auto"`
	Version kong.VersionFlag `help:"Print the version and stop."`

	AsDesigned bool `help:"Leave out the as-built facts of the record beside the file."`

	Check      checkCmd                  `cmd:"" help:"Say whether the panel fits, or what does not and by how much."`
	Make       makeCmd                   `cmd:"" help:"Check, then write the packet for the bench: templates, lists, drawings."`
	Open       openCmd                   `cmd:"" help:"Show the panel in the browser, alive; what you move is written into your file."`
	Wire       wireCmd                   `cmd:"" help:"Which lead goes to which pin and why, and what else could be done."`
	Press      pressCmd                  `cmd:"" help:"How far the face gives under each press, and the ribs that cure it."`
	Arrange    arrangeCmd                `cmd:"" help:"Propose better places for the controls: rows, room, order, symmetry."`
	Book       bookCmd                   `cmd:"" help:"The build book: all of it in the order of work, as PDF and for a phone."`
	Steps      stepsCmd                  `cmd:"" help:"The order of work: what comes when, what dries meanwhile; tick it off."`
	Cost       costCmd                   `cmd:"" help:"What to buy and what it costs, and what would make it cheaper."`
	Stock      stockCmd                  `cmd:"" help:"What you have on hand: begin the file, take off what a panel used."`
	Compare    compareCmd                `cmd:"" help:"What a rebuild means: parts that move, holes left over, wires, what to buy."`
	Mishap     mishapCmd                 `cmd:"" help:"Something went wrong at the bench: what follows, and the ways out."`
	Bench      benchCmd                  `cmd:"" help:"Press everything on the finished panel; which wire is wrong, and what to do."`
	Share      shareCmd                  `cmd:"" help:"One page to put on any static host: book, box to turn, panel file; nothing personal."`
	Flash      flashCmd                  `cmd:"" help:"Put an image on the module: its drive, or its serial port."`
	New        newCmd                    `cmd:"" help:"Start a panel in a new folder, from an example."`
	Fix        fixCmd                    `cmd:"" help:"Apply a finding's proposal to the file; every other byte stays."`
	Assumed    assumedCmd                `cmd:"" help:"List every number taken on trust, and where it comes from."`
	Parts      partsCmd                  `cmd:"" help:"List, show, draw and measure parts."`
	Schema     schemaCmd                 `cmd:"" help:"Print the JSON Schema of the panel file, for editors."`
	Explain    explainCmd                `cmd:"" help:"Explain a rule, or what an image does."`
	Man        manCmd                    `cmd:"" help:"Print the manual page, for man."`
	Completion kongcompletion.Completion `cmd:"" help:"Print the line that gives your shell completion."`
}

const about = `One text file in; a checked panel and the papers to build it from out.

Examples:
  knobwright new my-desk --from cue-desk    start from an example
  knobwright check                          judge the one panel file in this folder
  knobwright make cue-desk.yaml             write the packet into cue-desk-packet
  knobwright fix standby                    do what the finding about STANDBY proposes
  knobwright explain reach.neighbours       why, and which number decides
  knobwright flash firmware.uf2 --to DIR    put the image on the module

Exit codes: 0 nothing above a note; 1 warnings, with --strict; 2 stops; 3 cannot read.`

// usage is an error in what was asked, told in one sentence.
type usage struct{ say, hint string }

func (u usage) Error() string { return u.say }

// code is an error that has been told already and only carries the exit code.
type code int

func (c code) Error() string { return fmt.Sprintf("exit %d", int(c)) }

// run parses the arguments and runs one command. It returns the exit code and never lets a panic's trace reach a person.
func run(w world, args []string) (exit int) {
	stopped := -1
	defer func() {
		if r := recover(); r != nil {
			if _, ok := r.(stopNow); ok {
				exit = stopped
				return
			}
			fmt.Fprintf(w.err, "knobwright: something in the tool itself broke (%v). Your files are as they were.\nPlease report it with the panel file; until then, try without the last thing you added.\n", r)
			exit = exitCannot
		}
	}()
	var a app
	parser, err := kong.New(&a, kong.Name("knobwright"), kong.Description(about), kong.Writers(w.out, w.err),
		kong.Vars{"version": "knobwright " + version},
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 96, FlagsLast: true}),
		kong.Exit(func(c int) { stopped = c; panic(stopNow{}) }))
	if err != nil {
		panic(err)
	}
	kongcompletion.Register(parser)
	if len(args) == 0 {
		args = []string{"--help"}
	}
	ctx, err := parseArgs(parser, args)
	if stopped >= 0 {
		return stopped
	}
	if err != nil {
		fmt.Fprintf(w.err, "knobwright: %s\n", strings.TrimSuffix(err.Error(), "."))
		fmt.Fprintln(w.err, "            knobwright --help shows what there is.")
		return exitCannot
	}
	switch a.Colour {
	case "always":
		w.colour = true
	case "never":
		w.colour = false
	}
	return w.tell(ctx.Run(&w, &a), a.JSON)
}

// tell says what went wrong, if anything, and gives the exit code.
func (w world) tell(err error, data bool) int {
	var told code
	var asked usage
	switch {
	case err == nil:
		return exitFine
	case errors.As(err, &told):
		return int(told)
	case errors.As(err, &asked):
		if data {
			enc := json.NewEncoder(w.out)
			enc.SetEscapeHTML(false)
			_ = enc.Encode(map[string]string{"tool": "knobwright", "version": version, "cannot": asked.say, "hint": asked.hint})
			return exitCannot
		}
		fmt.Fprintln(w.err, "knobwright: "+terminal.Clean(asked.say))
		for _, l := range strings.Split(strings.TrimSpace(asked.hint), "\n") {
			if l != "" {
				fmt.Fprintln(w.err, "            "+terminal.Clean(l))
			}
		}
	default:
		fmt.Fprintln(w.err, "knobwright: "+terminal.Clean(err.Error()))
	}
	return exitCannot
}

type stopNow struct{}

// parseArgs lets --help and --version end the parsing without ending the process.
func parseArgs(p *kong.Kong, args []string) (ctx *kong.Context, err error) {
	defer func() {
		if r := recover(); r != nil {
			if _, ok := r.(stopNow); !ok {
				panic(r)
			}
		}
	}()
	return p.Parse(args)
}

func (w world) style() terminal.Style { return terminal.Style{Colour: w.colour, Width: w.width} }
