package studio

import (
	"flag"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"

	"knobwright/internal/edit"
	"knobwright/internal/finding"
	"knobwright/internal/trade/arrange"
	"knobwright/internal/trade/steps"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/trust"
)

var update = flag.Bool("update", false, "write the types of the page anew")

// The page's types are made from those that the server answers with, so that they cannot drift apart.
func TestPageTypes(t *testing.T) {
	const path = "../../web/src/lib/types.ts"
	want := pageTypes()
	if *update {
		if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Errorf("%s is not what the server answers with: go test ./internal/studio -run PageTypes -update", path)
	}
}

func pageTypes() string {
	var b strings.Builder
	b.WriteString("// Made from the server's types by a test of internal/studio. Do not edit.\n")
	for _, v := range []any{
		LookData{}, ControlData{}, ShapeData{}, TextData{}, TryData{}, DragData{}, ClashData{}, EditRequest{}, TextRequest{}, FixRequest{}, PartData{}, WiringData{}, WireData{}, SolidData{}, MeshData{},
		PressData{}, PressFace{}, SupportData{}, RibData{}, GiveData{}, LineData{}, SpotData{}, BlankData{}, ChoiceData{}, PressRequest{}, RibsRequest{}, RibsData{}, BentData{}, CarryData{},
		BoxData{}, BoxBody{}, BoxControl{}, BoxSheet{}, LidData{}, BoxWire{},
		ActData{}, LinkData{}, RoomsData{}, RingData{}, CutData{}, PartsData{}, CardData{}, QuestionData{}, CardRequest{}, TryRequest{}, MovedData{}, MouldData{}, edit.Act{}, edit.Group{}, edit.Handle{}, edit.Lying{},
		StepsData{}, StepBoard{}, StepHole{}, StepSpot{}, TickRequest{}, steps.Said{}, steps.SaidStep{}, steps.SaidItem{}, steps.SaidAfter{}, steps.SaidCaution{}, steps.SaidSit{}, steps.SaidPiece{}, steps.SaidWait{},
		ArrangeRequest{}, ArrangeLine{}, BoardData{}, PaperData{}, arrange.Result{}, arrange.Proposal{}, arrange.Score{}, arrange.Term{}, arrange.Spot{}, arrange.Stay{}, arrange.Crowd{},
		BenchData{}, BenchLine{}, BenchRow{}, BenchCause{}, BenchSpot{}, BenchAsk{}, BenchMoment{}, BenchBegin{}, BenchSeen{}, BenchReport{}, BenchMoved{}, BenchTake{},
		finding.Finding{}, finding.End{}, finding.Pos{}, finding.Place{}, finding.Measure{}, finding.Fix{}, finding.Edit{}, trust.Source{}, wiring.Option{},
	} {
		typ := reflect.TypeOf(v)
		fmt.Fprintf(&b, "\nexport interface %s {\n", typ.Name())
		for i := range typ.NumField() {
			f := typ.Field(i)
			name, rest, _ := strings.Cut(f.Tag.Get("json"), ",")
			if name == "-" {
				continue
			}
			if name == "" {
				name = f.Name
			}
			mark := ""
			if strings.Contains(rest, "omit") {
				mark = "?"
			}
			fmt.Fprintf(&b, "  %s%s: %s\n", name, mark, tsType(f.Type))
		}
		b.WriteString("}\n")
	}
	return b.String()
}

func tsType(t reflect.Type) string {
	switch t {
	case reflect.TypeFor[finding.Severity]():
		return "'stop' | 'warn' | 'note'"
	case reflect.TypeFor[finding.Sense]():
		return "'at least' | 'at most' | 'between'"
	case reflect.TypeFor[finding.Op]():
		return "'set' | 'delete' | 'rename'"
	}
	switch t.Kind() {
	case reflect.String:
		return "string"
	case reflect.Bool:
		return "boolean"
	case reflect.Int, reflect.Float64, reflect.Float32:
		return "number"
	case reflect.Pointer:
		return tsType(t.Elem())
	case reflect.Slice:
		return "Array<" + tsType(t.Elem()) + ">"
	case reflect.Array:
		n := make([]string, t.Len())
		for i := range n {
			n[i] = tsType(t.Elem())
		}
		return "[" + strings.Join(n, ", ") + "]"
	case reflect.Map:
		return "Record<string, " + tsType(t.Elem()) + ">"
	case reflect.Struct:
		return t.Name()
	}
	return "unknown"
}
