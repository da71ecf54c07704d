package admit

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// text is an item.
type text []byte

func (t text) Bytes() int { return len(t) }

func newStore(t *testing.T, bytes int64) *Store {
	t.Helper()
	s, err := NewStore(bytes, func(string, bool) {})
	require.NoError(t, err)
	return s
}

// One thing must not drive out all others, and no store at all is a store too.
func TestStoreKeepsNothingTooLarge(t *testing.T) {
	for _, bytes := range []int64{1 << 20, -1} {
		s := newStore(t, bytes)
		for range 2 {
			_, how, err := s.Get(t.Context(), Key{Tag: "a"}, func(context.Context) (Item, error) { return make(text, 300<<10), nil })
			require.NoError(t, err)
			require.Equal(t, Made, how)
			_, _ = s.Size() // after which all that is too much has gone
			_, _ = s.Size() // after which all that is too much has gone
		}
		kept, _ := s.Size()
		require.Zero(t, kept)
	}
}

// Who makes something for all may go away: the others get it all the same.
func TestLeaderLeaves(t *testing.T) {
	s := newStore(t, 1<<20)
	ctx, leave := context.WithCancel(t.Context())
	begun := make(chan struct{})
	leader := make(chan error, 1)
	go func() {
		_, _, err := s.Get(ctx, Key{Tag: "a"}, func(context.Context) (Item, error) {
			close(begun)
			<-ctx.Done()
			return nil, ctx.Err()
		})
		leader <- err
	}()
	<-begun
	followers := make(chan error, 10)
	made := atomic.Int64{}
	for range cap(followers) {
		go func() {
			_, _, err := s.Get(t.Context(), Key{Tag: "a"}, func(context.Context) (Item, error) {
				made.Add(1)
				return text("sound"), nil
			})
			followers <- err
		}()
	}
	time.Sleep(10 * time.Millisecond)
	leave()
	require.ErrorIs(t, <-leader, context.Canceled)
	for range cap(followers) {
		require.NoError(t, <-followers)
	}
	require.Equal(t, int64(1), made.Load())
}

// A panic of who makes something is nobody's end.
func TestPanicInTheStore(t *testing.T) {
	s := newStore(t, 1<<20)
	func() {
		defer func() { require.NotNil(t, recover()) }()
		_, _, _ = s.Get(t.Context(), Key{Tag: "a"}, func(context.Context) (Item, error) { panic("a reed broke") })
	}()
	_, _, err := s.Get(t.Context(), Key{Tag: "a"}, func(context.Context) (Item, error) { return nil, errors.New("bent") })
	require.EqualError(t, err, "bent")
	v, how, err := s.Get(t.Context(), Key{Tag: "a"}, func(context.Context) (Item, error) { return text("sound"), nil })
	require.NoError(t, err)
	require.Equal(t, Made, how)
	require.Equal(t, text("sound"), v)
}

// The work ends when all who wait for it have gone, and not before; whoever asks
// then has it made anew.
func TestWorkEndsWhenAllHaveGone(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newStore(t, 1<<20)
		defer s.Close()
		ended := make(chan error, 1)
		endless := func(ctx context.Context) (Item, error) {
			<-ctx.Done()
			time.Sleep(time.Second) // it takes a while to notice
			ended <- ctx.Err()
			return nil, ctx.Err()
		}
		var leave []context.CancelFunc
		for range 3 {
			ctx, stop := context.WithCancel(t.Context())
			leave = append(leave, stop)
			go func() {
				_, _, err := s.Get(ctx, Key{Tag: "a"}, endless)
				require.ErrorIs(t, err, context.Canceled)
			}()
			synctest.Wait()
		}
		leave[0]() // who leads
		leave[2]()
		synctest.Wait()
		require.Empty(t, ended)
		leave[1]()
		synctest.Wait()
		item, how, err := s.Get(t.Context(), Key{Tag: "a"}, func(context.Context) (Item, error) { return text("sound"), nil })
		require.NoError(t, err)
		require.ErrorIs(t, <-ended, context.Canceled)
		require.Equal(t, Made, how)
		require.Equal(t, text("sound"), item)
	})
}

// Readers of large answers leave room for those of small ones.
func TestMemory(t *testing.T) {
	m := NewMemory(100 << 20)
	for range 15 {
		require.NoError(t, m.Reserve(5<<20))
	}
	var refused *Refusal
	require.ErrorAs(t, m.Reserve(5<<20), &refused)
	require.Equal(t, NoMemory, refused.Reason)
	for range 25 {
		require.NoError(t, m.Reserve(1<<20))
	}
	require.Error(t, m.Reserve(1))
	m.Release(1)
	require.NoError(t, m.Reserve(1))
	require.Equal(t, int64(100<<20), m.Held())
}

// What is charged comes back in time, or at once where it was not spent; nobody has
// more than a burst.
func TestAccounts(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		q, err := NewQuotas(Quota{Rate: 2, Burst: 10})
		require.NoError(t, err)
		defer q.accounts.StopAllGoroutines()
		a := q.Account("192.0.2.1")
		require.Same(t, a, q.Account("::ffff:192.0.2.1"))
		require.NotSame(t, a, q.Account("192.0.2.2"))
		for _, step := range []struct{ charge, charged, left float64 }{{4, 4, 6}, {6.5, 0, 6}, {6, 6, 0}, {1, 0, 0}} {
			charged, err := a.Charge(step.charge)
			require.Equal(t, step.charged, charged)
			require.Equal(t, step.charged == 0, err != nil)
			left, _ := a.State()
			require.Equal(t, step.left, left)
		}
		_, err = a.Charge(5)
		var refused *Refusal
		require.ErrorAs(t, err, &refused)
		require.Equal(t, 2500*time.Millisecond, refused.After)
		time.Sleep(time.Second)
		left, full := a.State()
		require.Equal(t, 2.0, left)
		require.Equal(t, 4*time.Second, full)
		a.Refund(20)
		left, _ = a.State()
		require.Equal(t, 10.0, left)
		charged, err := a.Charge(1000)
		require.NoError(t, err)
		require.Equal(t, 10.0, charged, "more than there can be costs all of it")
		time.Sleep(time.Hour)
		left, _ = a.State()
		require.Equal(t, 10.0, left)
	})
}
