//! The behaviour of tellframe, a file a behaviour, in one binary.

mod advance; // the next situation after a play told in a few words, by the published rules
mod announcements; // the words of every ruling, as a table to read
mod audit; // `tellframe audit`: rates, times, agreement, consistency, tables alone, what is refused
mod audit_seasons; // the audit measured by seasons whose truth is known: plants found, false alarms counted
mod bad_books; // every defect of a rule book: its place, its words, its help
mod books; // the books inside the program are sound, and their case plays agree
mod certificate; // one file for an inquiry, checked by a program in another language
mod certificate_forged; // every field of a certificate forged in every way, and certificates by other keys
mod cli_forged; // every command that takes a log, on every kind of forged log
mod cli_kept; // the head beside a log on the command line, and going on after a loss
mod cli_log; // `tellframe log` and its exit status, the trace beside it
mod cli_measure; // `tellframe measure`: what it prints and what it refuses
mod cli_order; // `tellframe order`: its format, what it says, what it refuses
mod diagram; // the drawing of a book: whole, well formed, readable
mod discretion; // the referee's own ruling: safety first, bounds, effects, held over a log; precedents and their life
mod enforce_examples; // the examples of the page on enforcing, and what is refused
mod enforcement_properties; // what holds of every ruling on a play with fouls, over random plays
mod find; // type to find: the question that is meant, with what the gate says of it
mod footage_apart; // the built-in decoder in a process of its own: it crashes, hangs, and the next picture comes
mod footage_changed; // a file that changes under a clip: no picture and no hash of another recording
mod footage_coloured; // colours as the file says: matrix and range, small copies as exact pictures
mod footage_damaged; // damaged clips: an error or frames, never a panic, a hang, memory without bound
mod footage_deck; // what a desk plays from: opening, moving, resting
mod footage_exact; // every picture of every kind of clip, against the reference decoder's hashes
#[cfg(unix)]
mod footage_proxies; // small pictures leave room on the disk, and what killed desks left is swept
mod footage_shaped; // pixels that are not square: in their true shape on the screen, clicked and proven as stored
mod footage_streams; // transport streams and Matroska: a cold picture from its key is the one from the start
mod footage_times; // times that contradict the order of pictures: shown, and never as exact
mod footage_turned; // clips that a player turns: upright on the screen, proven as stored
mod formats; // the JSON that outsiders rely on keeps to its schemas
mod game_day; // the day of a game: situation, plays, checklist, service, and how reviews hang in it
mod game_properties; // random plays under every question: what a restart may never be
mod gate; // who may ask for what, when and at what price
mod log_again; // ruled questions answered again, blind: drawn, refused, entered, counted in agreement alone
mod log_day; // holding a game's day over a log, beside its reviews
mod log_exchange; // records in and out: once, verbatim, all or none
mod log_faults; // a second desk, no room, no right, a damaged file, a newer form
mod log_files; // rights of the files of a log, links and strange files laid in their place
mod log_forged; // a forged log is opened by nobody, and one that is forged while it is open is told no further
mod log_kept; // the head beside a log: lost acts are seen, and no head passes a forgery off
mod log_moved; // the log is moved, replaced, deleted or linked while a desk has it open
mod log_properties; // whatever was appended verifies; whatever is touched is named
mod log_record; // the stored form of events: read back, pinned, erased
mod log_records; // the records that a log gives, its own and the imported
mod log_reviews; // holding a review over a log: resumed after a kill, once a command
mod log_schema; // tables that no tellframe wrote: added, missing, changed, of a version that never was
mod log_stamps; // clocks that say any time at all: refused, or told, exported, audited, printed
mod log_stills; // stills beside the chain: kept, shown, named, erased
mod log_store; // appending: order, repeats, heads, keys, editions, texts and stills
mod log_verify; // every way to tamper with a log, and the first bad entry it is told by
mod log_wal; // the write-ahead file: turned bits, acts that were cut off, empty after what ends something
mod missing_fields; // a field that is null is one that is missing, for every reader of records
mod order_evidence; // which of two events came first: against SciPy, against drawn cameras, and how often it holds
mod order_ties; // clocks that ties give: how often the truth lies within their stated error
#[cfg(unix)]
mod outputs; // what a command writes never destroys what is there
mod place_bad_landmarks; // verdicts with bad landmarks: no more wrong ones than the standard allows, or none
mod place_clicked; // bands hold on compressed pictures, clicked by the automatic clicker
mod place_coverage; // stated intervals of places hold the truth as often as they say
mod place_in_the_hall; // landmarks of the field, drawn lines, saved calibrations, ranked cameras
mod place_placed; // a placed point in a review: measured, refused, stored, shown
mod place_references; // calibrating, measuring, pose, triangulation against OpenCV and SciPy
mod place_scripted; // the demo's challenge of a place: its clicks and figures against the play's truth
mod published_enforcement; // published rulings on penalties, downs, scores and the clock, run
mod published_replay; // published plays and lists on replay against the college book
mod readme; // the examples of the README, run
mod rejudge; // the same facts under another edition: what flips, by which change, and what cannot be told
mod rejudge_measured; // what was measured, judged again: no close one flips under its own edition
mod review_events; // the life of a review: what each command asks for and writes
mod review_marks; // marks of one moment: which replaces which, and which is refused
mod review_proof; // what an answer needs before it counts
mod review_properties; // any commands at all: what a review may never do
mod review_ties; // ties of cameras to one clock: kept, refused, taken back, stored
mod scene_coverage; // what is stated of the scenes' plays is true as often as it says
mod scenes; // plays as scenes: what is drawn is what the truth says
mod settling; // what partial answers amount to, against brute force
mod story; // how a question was walked, told step by step, and the page that shows it
mod support;
mod tidy; // arrows between layers, lengths, banned words, names in the documents
mod writing_a_book; // the page on writing rule books is true
