package main

import (
	"runtime/debug"
	"syscall/js"
)

// garbage is how much may be made, in percent of what is in use, before it is cleared
// away: a phone has room for that, and one processor.
const garbage = 800

// main offers load and answer to the worker's script, and stays.
func main() {
	debug.SetGCPercent(garbage)
	p := &phone{}
	offers := js.Global().Get("Object").New()
	offers.Set("load", js.FuncOf(func(_ js.Value, args []js.Value) any { return loadFrom(p, args[0], args[1]) }))
	offers.Set("answer", js.FuncOf(func(_ js.Value, args []js.Value) any { return given(p.answer(args[0].String(), args[1].String())) }))
	js.Global().Call("levelpegReady", offers)
	select {}
}

// loadFrom gives what is wrong, as text; empty for nothing.
func loadFrom(p *phone, said, files js.Value) string {
	var all [][]byte
	for i := range files.Length() {
		b := make([]byte, files.Index(i).Length())
		js.CopyBytesToGo(b, files.Index(i))
		all = append(all, b)
	}
	if err := p.load([]byte(said.String()), all); err != nil {
		return err.Error()
	}
	return ""
}

// given is an answer as the script makes a response of it.
func given(a *answered) js.Value {
	headers := js.Global().Get("Array").New()
	for name, values := range a.header {
		for _, v := range values {
			headers.Call("push", js.ValueOf([]any{name, v}))
		}
	}
	body := js.Global().Get("Uint8Array").New(a.body.Len())
	js.CopyBytesToJS(body, a.body.Bytes())
	out := js.Global().Get("Object").New()
	out.Set("status", a.status)
	out.Set("headers", headers)
	out.Set("body", body)
	return out
}
