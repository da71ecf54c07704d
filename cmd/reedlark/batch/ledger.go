package batch

import (
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"unicode/utf8"

	"reedlark/api"
)

// LedgerName is the name of the file a [Ledger] is kept in.
const LedgerName = ".reedlark-made"

// Fingerprint is the same for two requests that make the same sound with this
// engine, and for no others.
func Fingerprint(r api.Request) string {
	sum := sha256.Sum256([]byte(api.EngineVersion() + "\n" + r.Canonical()))
	return hex.EncodeToString(sum[:])
}

// Ledger remembers which sounds were made in a folder and what was asked for
// then. It is a file of one JSON object a line, and only ever grows while it is
// open: a run that is killed loses no more than the line it was writing, and then
// one sound is made again. It is safe for use by many at once.
type Ledger struct {
	folder string
	made   map[string]entry // by the sound's path in the folder
	lock   sync.Mutex
	file   *os.File
}

// entry is one line of the ledger.
type entry struct {
	Sound string `json:"sound"` // path in the folder, with slashes
	Asked string `json:"asked"` // fingerprint
	Bytes int64  `json:"bytes"`
	Time  int64  `json:"time"` // when it was changed last, nanoseconds since 1970
}

// OpenLedger opens the ledger of a folder that is there, or begins one.
func OpenLedger(folder string) (*Ledger, error) {
	l := &Ledger{folder: folder, made: map[string]entry{}}
	whole, err := l.read()
	if err != nil {
		return nil, err
	}
	if !whole {
		if err := l.rewrite(); err != nil {
			return nil, err
		}
	}
	l.file, err = openOwn(l.path(), os.O_APPEND|os.O_CREATE|os.O_WRONLY)
	return l, err
}

func (l *Ledger) path() string { return filepath.Join(l.folder, LedgerName) }

// read takes in the lines there are; later ones win. It is not whole where a
// line is out of date or no line at all, as the last may be after a power cut.
func (l *Ledger) read() (whole bool, err error) {
	f, err := openOwn(l.path(), os.O_RDONLY)
	if errors.Is(err, fs.ErrNotExist) {
		return true, nil
	}
	if err != nil {
		return false, err
	}
	defer func() { _ = f.Close() }() // only read from
	whole = true
	for in := bufio.NewReader(f); ; {
		line, err := in.ReadBytes('\n')
		var e entry
		switch {
		case err == io.EOF:
			return whole && len(line) == 0, nil
		case err != nil:
			return false, err
		case json.Unmarshal(line, &e) != nil:
			whole = false
			continue
		}
		_, before := l.made[e.Sound]
		whole = whole && !before
		l.made[e.Sound] = e
	}
}

// rewrite writes the ledger anew, without what is out of date.
func (l *Ledger) rewrite() error {
	return WriteFile(context.Background(), l.path(), func(w io.Writer) (err error) {
		for _, e := range l.made {
			err = errors.Join(err, json.NewEncoder(w).Encode(e))
		}
		return err
	})
}

// Holds says that a sound in the folder is the one with this fingerprint, and
// is still as it was made.
func (l *Ledger) Holds(sound, fingerprint string) bool {
	key, err := l.key(sound)
	if err != nil {
		return false
	}
	l.lock.Lock()
	e, known := l.made[key]
	l.lock.Unlock()
	if !known || e.Asked != fingerprint {
		return false
	}
	info, err := os.Stat(sound)
	return err == nil && info.Mode().IsRegular() && info.Size() == e.Bytes && info.ModTime().UnixNano() == e.Time
}

// Add remembers a sound that has just been made.
func (l *Ledger) Add(sound, fingerprint string) error {
	key, err := l.key(sound)
	if err != nil {
		return err
	}
	info, err := os.Stat(sound)
	if err != nil {
		return err
	}
	e := entry{key, fingerprint, info.Size(), info.ModTime().UnixNano()}
	line, err := json.Marshal(e)
	if err != nil {
		return err
	}
	l.lock.Lock()
	defer l.lock.Unlock()
	l.made[key] = e
	_, err = l.file.Write(append(line, '\n'))
	return err
}

func (l *Ledger) key(sound string) (string, error) {
	rel, err := filepath.Rel(l.folder, sound)
	if !utf8.ValidString(rel) { // JSON has no other text
		rel = strconv.QuoteToASCII(rel)
	}
	return filepath.ToSlash(rel), err
}

// Close ends the use of the ledger.
func (l *Ledger) Close() error { return l.file.Close() }
