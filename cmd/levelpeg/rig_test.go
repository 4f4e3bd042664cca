package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"levelpeg/rig"
)

func command(args ...string) (string, error) {
	var out bytes.Buffer
	err := run(context.Background(), append([]string{"rig"}, args...), &out, &out)
	return out.String(), err
}

func TestRigTable(t *testing.T) {
	out, err := command("--depth", "1.83", "--pace", "0.8")
	if err != nil {
		t.Fatal(err)
	}
	want, err := rig.Suggest(rig.Water{DepthM: 1.83, PaceMPS: 0.8, DistanceM: 6}, rig.Aim{}, rig.StandardKit())
	if err != nil {
		t.Fatal(err)
	}
	at := 0
	for _, r := range want {
		i := strings.Index(out[at:], r.Name)
		if i < 0 {
			t.Fatalf("%s is not printed in its place:\n%s", r.Name, out)
		}
		at += i
	}
	if !strings.Contains(out, "pulls as lead") || !strings.Contains(out, "Local byelaws") {
		t.Errorf("no sum or no word on byelaws:\n%s", out)
	}
}

func TestRigJSON(t *testing.T) {
	out, err := command("--depth", "1.83", "--pace", "0.8", "--chart", "counts", "--json")
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Rigs []struct {
			Capacity float64 `json:"capacity_g"`
			Pull     float64 `json:"pull_as_lead_g"`
		}
	}
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Rigs) == 0 {
		t.Fatal("no rigs")
	}
	for _, r := range got.Rigs {
		if r.Pull > r.Capacity+0.01+1e-9 || r.Pull < 0.9*r.Capacity {
			t.Errorf("%g g on a float of %g", r.Pull, r.Capacity)
		}
	}
}

func TestRigRefusesInASentence(t *testing.T) {
	for want, args := range map[string][]string{
		"outside 0.4 to 6 m":   {"--depth", "9", "--pace", "0.5"},
		"depth NaN":            {"--depth", "NaN", "--pace", "0.5"},
		"outside 0 to 1.6 m/s": {"--depth", "2", "--pace=-1"},
		"missing flags":        {"--depth", "2"},
		"is not known":         {"--depth", "2", "--pace", "0.5", "--fish", "whale"},
		"must be one of":       {"--depth", "2", "--pace", "0.5", "--chart", "none"},
	} {
		if _, err := command(args...); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v: %v, want %q", args, err, want)
		}
	}
	out, err := command("--depth", "5.9", "--pace", "1.6")
	if err != nil || !strings.Contains(out, "too heavy to float fish") {
		t.Errorf("heavy water: %q, %v", out, err)
	}
	out, err = command("--depth", "5.9", "--pace", "1.6", "--json")
	if err != nil || !strings.Contains(out, `"no_rig"`) || !json.Valid([]byte(out)) {
		t.Errorf("heavy water as JSON: %q, %v", out, err)
	}
}

func TestRigWritesToAFullDiskWithAnError(t *testing.T) {
	err := rigCmd{Depth: 1.5, Pace: 0.5, Distance: 6, Chart: "retail", Shot: "tin", Olivette: "tungsten"}.Run(full{})
	if !errors.Is(err, errFull) {
		t.Errorf("%v", err)
	}
}

var errFull = errors.New("no room")

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }
