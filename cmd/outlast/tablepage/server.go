package tablepage

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log"
	"net"
	"net/http"
	"path"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"outlast/backup/edit"
	"outlast/backup/live"
)

// Bounds of what a page may ask.
const (
	mostBytes   = 1 << 20 // of a question
	mostAtOnce  = 2       // questions that are worked on
	mostHeaders = 16 << 10
	// keptRevisions is how many states of the file the pages that are open may count their changes from.
	keptRevisions = 16
	// stillFor is how long nobody must have asked until the answers to come are prepared: nobody waits then, and they find
	// memory that is there already.
	stillFor = 60 * time.Millisecond
)

// patience is how long the server waits for whom.
type patience struct{ answer, headers, question, sent, idle time.Duration }

var usualPatience = patience{answer: 30 * time.Second, headers: 5 * time.Second, question: 15 * time.Second,
	sent: time.Minute, idle: 2 * time.Minute}

// A Home is the file that is served.
type Home struct {
	Name string                                 // of the file, without its folder
	Lang string                                 // in which the page opens
	All  []string                               // languages
	Read func() ([]byte, error)                 // the file as it is now
	Open func(text []byte) (*live.Table, error) // puts a text on the table
	// Replace puts text in the place of old and keeps old beside it, under the name that it gives.
	Replace func(old, text []byte) (copied string, err error)
	// Create writes a file in the same folder that is not there yet; where there is one, its error is [fs.ErrExist].
	Create func(name string, text []byte) error
	// Papers writes the papers for a question.
	Papers func(ctx context.Context, w io.Writer, text []byte, q live.Question) error
}

// A Server serves one home.
type Server struct {
	home  Home
	token string
	busy  chan struct{}
	rest  *time.Timer // calls prepare
	waits patience

	mu     sync.Mutex // of what follows, and of the file
	tables map[string]*live.Table
	order  []string // the revisions, the oldest first
}

// New makes a server for a home. The error is that of reading it.
func New(h Home) (*Server, error) {
	s := &Server{home: h, token: rand.Text(), busy: make(chan struct{}, mostAtOnce), waits: usualPatience,
		tables: map[string]*live.Table{}}
	s.rest = time.AfterFunc(stillFor, s.prepare)
	s.mu.Lock()
	defer s.mu.Unlock()
	_, _, err := s.current()
	return s, err
}

// prepare uses a moment in which nobody waits for the answers to come: the newest state of the file is warmed up, and what
// answers left behind is tidied up.
func (s *Server) prepare() {
	if len(s.busy) > 0 {
		return
	}
	s.mu.Lock()
	var t *live.Table
	if n := len(s.order); n > 0 {
		t = s.tables[s.order[n-1]]
	}
	s.mu.Unlock()
	if t != nil {
		if t.WarmUp(context.Background(), s.home.Lang) {
			s.rest.Reset(0)
			return
		}
		t.Prepare()
	}
	runtime.GC()
}

// Path is where the page stands: it holds the token, without which nothing is served.
func (s *Server) Path() string { return "/" + s.token + "/" }

// revisionOf tells the states of a file apart.
func revisionOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:16])
}

// current is the file as it is now. The caller holds the lock.
func (s *Server) current() (text []byte, revision string, err error) {
	if text, err = s.home.Read(); err != nil {
		return nil, "", err
	}
	return text, revisionOf(text), s.keep(text)
}

// keep remembers a state of the file.
func (s *Server) keep(text []byte) error {
	revision := revisionOf(text)
	table := s.tables[revision]
	if table == nil || !table.Current() {
		var err error
		if table, err = s.home.Open(text); err != nil {
			return err
		}
	}
	s.order = append(slices.DeleteFunc(s.order, func(r string) bool { return r == revision }), revision)
	s.tables[revision] = table
	if len(s.order) > keptRevisions {
		delete(s.tables, s.order[0])
		s.order = s.order[1:]
	}
	return nil
}

// Serve answers on a listener until ctx is done.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	server := &http.Server{
		Handler: s.Handler(l.Addr()), ReadHeaderTimeout: s.waits.headers, ReadTimeout: s.waits.question,
		WriteTimeout: s.waits.sent,
		IdleTimeout:  s.waits.idle, MaxHeaderBytes: mostHeaders,
		BaseContext: func(net.Listener) context.Context { return ctx },
		ErrorLog:    log.New(io.Discard, "", 0), // clients that went away are no news
	}
	stop := context.AfterFunc(ctx, func() {
		s.mu.Lock() // what is being saved is saved whole
		defer s.mu.Unlock()
		server.Close()
	})
	defer stop()
	if err := server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// Handler answers requests that came to an address.
func (s *Server) Handler(addr net.Addr) http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", s.page)
	mux.HandleFunc("GET /{file}", s.page)
	mux.HandleFunc("POST /file", s.file)
	mux.HandleFunc("POST /save", s.save)
	mux.HandleFunc("POST /save-as", s.saveAs)
	mux.HandleFunc("POST /papers", s.papers)
	for _, kind := range live.Kinds() {
		mux.HandleFunc("POST /"+kind, func(w http.ResponseWriter, r *http.Request) { s.ask(w, r, kind) })
	}
	return s.guarded(addr, http.NewCrossOriginProtection().Handler(http.StripPrefix("/"+s.token, mux)))
}

// guarded lets only those in who came by our own name and with the token.
func (s *Server) guarded(addr net.Addr, h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		head := w.Header()
		head.Set("Cache-Control", "no-store")
		head.Set("X-Content-Type-Options", "nosniff")
		head.Set("Referrer-Policy", "no-referrer")
		head.Set("Cross-Origin-Resource-Policy", "same-origin")
		head.Set("Cross-Origin-Opener-Policy", "same-origin")
		head.Set("Content-Security-Policy",
			"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; form-action "+
				"'self'; base-uri 'none'; frame-ancestors 'none'")
		if !ourHost(addr, r.Host) {
			http.Error(w, "this name is not served", http.StatusMisdirectedRequest)
			return
		}
		given, _, _ := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
		if clean := path.Clean(r.URL.Path); clean != r.URL.Path && clean+"/" != r.URL.Path { // nobody of ours writes such a path
			given = ""
		}
		if subtle.ConstantTimeCompare([]byte(given), []byte(s.token)) != 1 || r.URL.Path == "/"+s.token {
			http.Error(w, "nothing is served without the whole link", http.StatusNotFound)
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, mostBytes)
		h.ServeHTTP(w, r)
	})
}

// ourHost says whether a request was meant for us: for the loopback, or for an address in figures. A name that somebody
// lets point here is none of ours, whatever it says of its origin.
func ourHost(addr net.Addr, host string) bool {
	name, port, err := net.SplitHostPort(host)
	_, ours, _ := net.SplitHostPort(addr.String())
	if err != nil || port != ours {
		return false
	}
	ip := net.ParseIP(name)
	at, _, _ := net.SplitHostPort(addr.String())
	if listens := net.ParseIP(at); listens == nil || listens.IsLoopback() {
		return name == "localhost" || ip != nil && ip.IsLoopback()
	}
	return name == "localhost" || ip != nil
}

// page serves a file of the page.
func (s *Server) page(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("file")
	if name == "" {
		name = "index.html"
	}
	kind, known := types[path.Ext(name)]
	text, err := pageFile(name)
	if !known || err != nil {
		http.Error(w, "there is no such page", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", kind)
	w.Write(text)
}

// reply answers with JSON.
func reply(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	json.NewEncoder(w).Encode(v)
}

// A fault is what is answered instead. The page says it in its own language: code is the text "page.error." and it,
// about what is put in. A fault without a code is one that no page of ours makes; it is told as it is.
type fault struct {
	Text  string   `json:"error"` // in English
	Code  string   `json:"code,omitempty"`
	About []string `json:"about,omitempty"`
}

// refuse answers with what is wrong.
func refuse(w http.ResponseWriter, status int, f fault) { reply(w, status, f) }

// The faults that a page may meet.
var (
	faultGone = fault{Code: "gone",
		Text: "the server was started anew, or the file was saved many times: load the page again"}
	faultBusy  = fault{Code: "busy", Text: "too much is asked at once"}
	faultLost  = fault{Code: "lost", Text: "the question did not arrive"}
	faultLarge = fault{Code: "large", Text: fmt.Sprintf("more than %d bytes", mostBytes)}
	faultThere = fault{Code: "there", Text: "there is a file of this name already"}
)

// faultOf is a fault with an error for its cause, which may be told in English only.
func faultOf(code string, err error) fault {
	return fault{Code: code, Text: err.Error(), About: []string{err.Error()}}
}

// body reads what a page sent.
func body(w http.ResponseWriter, r *http.Request) ([]byte, bool) {
	text, err := io.ReadAll(r.Body)
	var big *http.MaxBytesError
	switch {
	case errors.As(err, &big):
		refuse(w, http.StatusRequestEntityTooLarge, faultLarge)
	case err != nil:
		refuse(w, http.StatusBadRequest, faultLost)
	}
	return text, err == nil
}

// table is the state of the file from which the page counts its changes.
func (s *Server) table(w http.ResponseWriter, r *http.Request) *live.Table {
	s.mu.Lock()
	defer s.mu.Unlock()
	t := s.tables[r.URL.Query().Get("revision")]
	if t == nil {
		refuse(w, http.StatusGone, faultGone)
	}
	return t
}

// turn waits until there is room for one more question, which then has its time. A page that went away in the meantime
// gets none.
func (s *Server) turn(w http.ResponseWriter, r *http.Request) (ctx context.Context, done func(), ok bool) {
	select {
	case s.busy <- struct{}{}:
		ctx, cancel := context.WithTimeout(r.Context(), s.waits.answer)
		return ctx, func() { cancel(); <-s.busy }, true
	case <-r.Context().Done():
	case <-time.After(s.waits.answer):
		refuse(w, http.StatusServiceUnavailable, faultBusy)
	}
	return nil, nil, false
}

// ask answers a question about the home.
func (s *Server) ask(w http.ResponseWriter, r *http.Request, kind string) {
	t := s.table(w, r)
	if t == nil {
		return
	}
	question, ok := body(w, r)
	if !ok {
		return
	}
	ctx, done, ok := s.turn(w, r)
	if !ok {
		return
	}
	defer done()
	s.rest.Stop()
	answer := t.Do(ctx, kind, question)
	s.rest.Reset(stillFor)
	w.Header().Set("Content-Type", "application/json")
	w.Write(answer)
}

// file tells a page what it was opened for.
func (s *Server) file(w http.ResponseWriter, _ *http.Request) {
	s.mu.Lock()
	_, revision, err := s.current()
	s.mu.Unlock()
	if err != nil {
		refuse(w, http.StatusConflict, faultOf("not-read", err))
		return
	}
	reply(w, http.StatusOK, map[string]any{"file": s.home.Name, "revision": revision, "lang": s.home.Lang,
		"languages": s.home.All})
}

// A saving is what a page wants to be saved.
type saving struct {
	Name    string        `json:"name"`
	Changes []edit.Change `json:"changes"`
}

// changed reads what is to be saved, and makes the text of it.
func (s *Server) changed(w http.ResponseWriter, r *http.Request) (want saving, text []byte, ok bool) {
	t := s.table(w, r)
	if t == nil {
		return want, nil, false
	}
	sent, ok := body(w, r)
	if !ok {
		return want, nil, false
	}
	if err := json.Unmarshal(sent, &want); err != nil {
		refuse(w, http.StatusBadRequest, fault{Text: fmt.Sprintf("nothing that can be saved: %s", err)})
		return want, nil, false
	}
	_, done, ok := s.turn(w, r)
	if !ok {
		return want, nil, false
	}
	defer done()
	text, err := t.Text(want.Changes)
	if err != nil {
		refuse(w, http.StatusUnprocessableEntity, faultOf("not-valid", err))
		return want, nil, false
	}
	return want, text, true
}

// save writes the changes into the file, if it is still the one that the page knows.
func (s *Server) save(w http.ResponseWriter, r *http.Request) {
	_, text, ok := s.changed(w, r)
	if !ok {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	disk, err := s.home.Read()
	if err != nil {
		refuse(w, http.StatusConflict, faultOf("not-read", err))
		return
	}
	if revision := revisionOf(disk); revision != r.URL.Query().Get("revision") {
		answer := map[string]any{"saved": false, "revision": revision, "disk": string(disk), "yours": string(text)}
		if err := s.keep(disk); err != nil { // what stands there now is no site file
			answer["problem"] = err.Error()
		}
		reply(w, http.StatusOK, answer)
		return
	}
	copied, err := s.home.Replace(disk, text)
	if err != nil {
		refuse(w, http.StatusInternalServerError, faultOf("not-written", err))
		return
	}
	if err := s.keep(text); err != nil {
		refuse(w, http.StatusInternalServerError, faultOf("not-read", err))
		return
	}
	reply(w, http.StatusOK, map[string]any{"saved": true, "revision": revisionOf(text), "copy": copied})
}

// saveAs writes the changed file under another name beside it.
func (s *Server) saveAs(w http.ResponseWriter, r *http.Request) {
	want, text, ok := s.changed(w, r)
	if !ok {
		return
	}
	if bad := (*live.BadName)(nil); errors.As(live.CheckName(want.Name), &bad) {
		refuse(w, http.StatusUnprocessableEntity, fault{Code: bad.Code, Text: bad.Error()})
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	switch err := s.home.Create(want.Name, text); {
	case errors.Is(err, fs.ErrExist):
		refuse(w, http.StatusConflict, faultThere)
		return
	case err != nil:
		refuse(w, http.StatusConflict, faultOf("not-written", err))
		return
	}
	reply(w, http.StatusOK, map[string]any{"saved": true, "name": want.Name})
}

// papers writes the papers of what is on the screen. They come from a form, so that the browser shows them by itself.
func (s *Server) papers(w http.ResponseWriter, r *http.Request) {
	t := s.table(w, r)
	if t == nil {
		return
	}
	if err := r.ParseForm(); err != nil {
		refuse(w, http.StatusBadRequest, faultLost)
		return
	}
	q, err := live.Read([]byte(r.PostForm.Get("question")))
	if err != nil {
		refuse(w, http.StatusBadRequest, fault{Text: err.Error()})
		return
	}
	ctx, done, ok := s.turn(w, r)
	if !ok {
		return
	}
	defer done()
	text, err := t.Text(q.Changes)
	var page strings.Builder
	if err == nil {
		err = s.home.Papers(ctx, &page, text, q)
	}
	if err != nil { // somebody reads this in a tab of its own
		says := err.Error()
		if words, werr := t.Words(live.Question{Lang: q.Lang}); werr == nil {
			says = fmt.Sprintf(words.Texts["error.papers"], says)
		}
		http.Error(w, says, http.StatusUnprocessableEntity)
		return
	}
	// The papers have a style of their own inside, and no script.
	w.Header().Set("Content-Security-Policy",
		"default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	io.WriteString(w, page.String())
}
