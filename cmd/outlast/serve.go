package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"path/filepath"

	"github.com/spf13/cobra"

	"outlast/backup"
	"outlast/backup/live"
	"outlast/backup/sheet/paper"
	"outlast/backup/sheet/paper/doc"
	"outlast/backup/sheet/paper/words"
	"outlast/backup/site"
	"outlast/catalog"
	"outlast/cmd/outlast/files"
	"outlast/cmd/outlast/homes"
	"outlast/cmd/outlast/tablepage"
	"outlast/cmd/outlast/terminal"
)

// usualAddress is where the page is served if nobody says otherwise: for this machine alone.
const usualAddress = "127.0.0.1:8425"

type serveOptions struct {
	listen   string
	lang     string
	catalogs []string
}

func newServe() *cobra.Command {
	var o serveOptions
	cmd := &cobra.Command{
		Use:     "serve FILE",
		GroupID: "plan",
		Short:   "Open the home as a page on which the plan is changed and answers at once",
		Long: `serve opens a site file as a page in the browser, for the kitchen table: what stays on, how long, and what
changes when something is switched. It prints the link; only who has the whole link is let in, and only on this machine
unless --listen says otherwise. Nothing is written until Save, which changes the touched values in the file and keeps a
copy of the old one beside it. Ctrl-C ends it.`,
		Example: `  outlast serve cottage.toml
  outlast serve --lang es --listen 127.0.0.1:9000 cottage.toml`,
		Args:              oneSite("serve opens one site"),
		ValidArgsFunction: completeTOML,
		RunE: func(cmd *cobra.Command, files []string) error {
			if err := checkLang(o.lang); err != nil {
				return err
			}
			if files[0] == "-" {
				return terminal.Usage("serve needs a file that it can save", "give its name")
			}
			return runServe(cmd.Context(), cmd.OutOrStdout(), files[0], o)
		},
	}
	cmd.Flags().StringVar(&o.listen, "listen", "",
		"serve on `ADDRESS:PORT` (default "+usualAddress+", or another port if that is taken)")
	langFlag(cmd, &o.lang, false)
	catalogFlag(cmd, &o.catalogs)
	return cmd
}

func runServe(ctx context.Context, out io.Writer, file string, o serveOptions) error {
	cat, err := homes.ReadCatalog(ctx, nil, o.catalogs)
	if err != nil {
		return err
	}
	path := file
	if real, err := filepath.EvalSymlinks(file); err == nil { // a link stays a link
		path = real
	}
	server, err := tablepage.New(servedHome(path, file, cat, o.lang))
	if err != nil {
		return err
	}
	l, err := listen(ctx, o.listen)
	if err != nil {
		return err
	}
	defer l.Close()
	if _, err := fmt.Fprintf(out,
		"%s is open at\n\n  http://%s%s\n\nThe link is the key: keep it to yourself. Ctrl-C ends it.\n", file,
		shownAddress(l.Addr()), server.Path()); err != nil {
		return err
	}
	return server.Serve(ctx, l)
}

// listen opens the address that was given, else the usual one, or where that is taken any port beside it.
func listen(ctx context.Context, address string) (net.Listener, error) {
	var lc net.ListenConfig
	if address != "" {
		l, err := lc.Listen(ctx, "tcp", address)
		if err != nil {
			return nil, terminal.Usage(fmt.Sprintf("--listen %s cannot be opened: %s", address, listenCause(err)),
				"leave it out to get a free port of this machine")
		}
		return l, nil
	}
	l, err := lc.Listen(ctx, "tcp", usualAddress)
	if err == nil {
		return l, nil
	}
	if l, err = lc.Listen(ctx, "tcp", "127.0.0.1:0"); err != nil {
		return nil, terminal.Usage("no port of this machine can be opened: "+listenCause(err), "")
	}
	return l, nil
}

// shownAddress is an address as a browser on this machine reaches it.
func shownAddress(addr net.Addr) string {
	host, port, err := net.SplitHostPort(addr.String())
	if ip := net.ParseIP(host); err == nil && ip != nil && ip.IsUnspecified() { // all addresses of this machine
		return net.JoinHostPort("127.0.0.1", port)
	}
	return addr.String()
}

// listenCause is why a port could not be opened, without what the message says already.
func listenCause(err error) string {
	var op *net.OpError
	if errors.As(err, &op) && op.Err != nil {
		return op.Err.Error()
	}
	return err.Error()
}

// servedHome is a site file for the page. shown is what it is called.
func servedHome(path, shown string, cat *catalog.Catalog, lang string) tablepage.Home {
	folder := filepath.Dir(path)
	read := func(text []byte) (*site.Site, error) {
		s, err := site.Read(shown, text, cat)
		if err != nil {
			return nil, err
		}
		return s, s.ReadWeather(homes.Beside(path))
	}
	return tablepage.Home{
		Name: filepath.Base(path), Lang: lang, All: words.Languages(),
		Read: func() ([]byte, error) { return files.ReadNow(nil, path, shown) },
		Open: func(text []byte) (*live.Table, error) {
			return live.New(live.Home{File: shown, Text: text, Catalog: cat, Open: homes.Beside(path)})
		},
		Replace: func(old, text []byte) (string, error) {
			copied, err := files.KeepCopy(path, old)
			if err != nil {
				return "", err
			}
			if err := files.Replace(path, text); err != nil {
				return "", terminal.Usage(fmt.Sprintf("%s cannot be written: %s", shown, terminal.Cause(err)),
					"the file is as it was")
			}
			return filepath.Base(copied), nil
		},
		Create: func(name string, text []byte) error {
			err := files.PutNew(filepath.Join(folder, name), text)
			if err == nil || errors.Is(err, fs.ErrExist) {
				return err
			}
			return terminal.Usage(fmt.Sprintf("%s cannot be written: %s", name, terminal.Cause(err)), "")
		},
		Papers: func(ctx context.Context, w io.Writer, text []byte, q live.Question) error {
			s, err := read(text)
			if err != nil {
				return err
			}
			for _, o := range s.Options {
				if o.Name == q.View.Option {
					s = o.Site
				}
			}
			plan, err := backup.NewPlan(ctx, s)
			if err != nil {
				return err
			}
			papers, err := paper.New(ctx, plan, paper.Options{For: paper.Readers()[0], Format: doc.Formats()[0],
				Lang: q.Lang, Program: "outlast " + version, Source: filepath.Base(path)})
			if err != nil {
				return err
			}
			return papers.Write(w, doc.Formats()[0])
		},
	}
}
