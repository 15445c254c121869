//go:build js && wasm

// Command engine answers the page at the kitchen table inside a browser, without a server: it is built for WebAssembly
// and put into the file that `outlast report --live` writes. It makes one object, globalThis.outlast, with
// functions on texts:
//
//	open(home)           home is a JSON, see carried; gives "", or what is wrong with it
//	ask(kind, question)  gives the answer of package live
//	warmUp(lang)         asks something for nobody ([live.Table.WarmUp]); false: it was warmed up before
//	rest()               prepares the next answer and tidies up, for a moment in which nobody waits
package main

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"runtime"
	"runtime/debug"
	"strings"
	"syscall/js"

	"outlast/backup/live"
	"outlast/catalog"
)

// carried is what the file carries of a home; package tablepage writes it.
type carried struct {
	File     string     `json:"file"`
	Text     string     `json:"text"`
	Catalogs []struct { // the user's own, in their order
		Name string `json:"name"`
		Text string `json:"text"`
	} `json:"catalogs"`
	Files map[string]string `json:"files"` // that the site file names
}

func main() {
	debug.SetGCPercent(400) // an answer is not to be held up: what it leaves behind is tidied up by rest
	var table *live.Table
	js.Global().Set("outlast", js.ValueOf(map[string]any{
		"open": js.FuncOf(func(_ js.Value, args []js.Value) any {
			t, err := open(args[0].String())
			if err != nil {
				return err.Error()
			}
			table = t
			return ""
		}),
		"ask": js.FuncOf(func(_ js.Value, args []js.Value) any {
			return string(table.Do(context.Background(), args[0].String(), []byte(args[1].String())))
		}),
		"warmUp": js.FuncOf(func(_ js.Value, args []js.Value) any {
			return table.WarmUp(context.Background(), args[0].String())
		}),
		"rest": js.FuncOf(func(js.Value, []js.Value) any {
			table.Prepare()
			runtime.GC()
			return nil
		}),
	}))
	select {}
}

// open puts a home on the table.
func open(home string) (*live.Table, error) {
	var h carried
	if err := json.Unmarshal([]byte(home), &h); err != nil {
		return nil, err
	}
	cat, err := catalog.Generic()
	if err != nil {
		return nil, err
	}
	for _, c := range h.Catalogs {
		own, err := catalog.Read(c.Name, []byte(c.Text))
		if err != nil {
			return nil, err
		}
		cat.Add(own)
	}
	return live.New(live.Home{File: h.File, Text: []byte(h.Text), Catalog: cat,
		Open: func(name string) (io.ReadCloser, error) {
			text, ok := h.Files[name]
			if !ok {
				return nil, errors.New("is not in this page")
			}
			return io.NopCloser(strings.NewReader(text)), nil
		}})
}
