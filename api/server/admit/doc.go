// Package admit decides who may work, when, and on what account.
//
// A [Queue] has a few slots, one for each processor. A [Job] says how much of a
// processor it needs yet and is due some time after it came, the later the more it
// needs; the job that is due first gets the next slot, piece by piece. So a long
// job never keeps a short one waiting for longer than a piece takes, and all are
// slowed down alike. One that has too much before it is refused at once.
//
// A [Store] keeps what was made and lets one make what several ask for; its work
// ends when all who wait for it have gone. [Quotas] bound what each client may ask
// for, [Memory] what all of them hold together.
//
// It knows nothing of HTTP, nor of what is made.
package admit
