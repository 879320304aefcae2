// Package write is the pages on which entries are written, at the bench and at
// the desk: one entry of any kind about any subject, with its photographs; a
// correction; one entry about many parts; a recorder's file.
//
//	/stage/{stage}/{subject...}       a stage of the job's card at a place
//	/now/{subject...}                 all entries whose turn it is at a job or a corner
//	/write/{kind}/{subject...}        one entry of a kind about a subject
//	/correct/{id}                     strike an entry through
//	/run/new/{kind}?part=…            one entry about many parts
//	/undo/{id}                        takes back what was stamped a moment ago
//	/run/{id}                         what a run is, and what comes next for it
//	/write/probe.logged/run/{id}      temperatures out of a recorder's file
//	/snap/{ref}                       a photograph that no entry names yet, small
//
// Nothing that was typed or photographed is lost before it is stamped: every
// request that carries a form keeps what it holds as a draft first, and only
// then does what was asked for. A picture is taken in the moment it comes. A
// press that is sent twice writes once.
//
//	w := write.New(write.Config{Store: folder, Live: l, Drafts: store, …})
//	shell, err := pages.New(options, write.Templates(), figure.Templates(), …)
//	w.Show(shell)
//	w.Routes(mux)
//
// The templates use "figure", which shows what Config.Figure returns.
package write
