/* What the forms of dated work have in common: the texts of a task, its words for states, amounts of time.
 * Private to src/write. */
#ifndef WRITE_SHEET_PART_H
#define WRITE_SHEET_PART_H

#include "write/tongue.h"

extern const char *const state_name[]; /* by TaskState */

/* What a task's or act's block says in a language (empty: the nursery's own), its clauses on a line each;
 * nothing without one. */
Slice block_say(Arena *arena, const Block *block, Slice language);
/* The same in another language, by its own clauses or else by the glossaries, which must have all of it;
 * without bytes where nobody says it. */
Slice say_in(Arena *arena, const Block *block, const Tongue *tongue);
void write_say_in(Buffer *out, const Block *block, const Tongue *tongue);
/* Whether that says all that the block says: with fewer clauses of its own than there are texts nobody can
 * know.
 */
bool say_in_is_whole(const Block *block, const Tongue *tongue);
/* The same of a task, in its own language where the other is none; a setting is said as it is written. */
void write_task_say(Buffer *out, const WorkTask *task, const Tongue *tongue);
/* What a dial is set to; empty for a task. */
Slice task_setting(const WorkTask *task);
/* Why; without bytes if nobody says. */
Slice task_because(const WorkTask *task);
bool task_is_duty(const WorkTask *task);
/* The first of those clauses; NULL without one. */
const Clause *task_say_clause(const Block *task, Slice language);
/* The n-th caution of a block in the nursery's own language and in another, by its own clause or else by the
 * glossaries; without bytes in which it lacks. False behind the last of both. */
bool caution_pair(const Block *block, const Tongue *tongue, size_t n, Slice *own, Slice *other);
/* "[es: no translation]", in the place of a text: nobody is to think that there is nothing to read. */
void write_missing(Buffer *out, const Tongue *tongue);
/* The blocks whose cautions go for a task: itself, its stage, those of the batch, the place; NULL where one
 * is told already. */
size_t task_block_count(const WorkTask *task);
const Block *task_block(const WorkTask *task, size_t n);
/* The n-th of all that go for a task: its own, those of its stage, of the batch and of the place. */
const Clause *task_caution(const WorkTask *task, Slice language, size_t n);
/* Seconds as whole minutes, upwards. */
int64_t minutes_of(Number seconds);
/* It comes more than once, so that its number belongs to its id. */
bool task_repeats(const WorkTask *task);
/* The id of a task: batch, path and number. */
void write_task_id(Buffer *out, const WorkTask *task);
/* A name or "". */
const char *place_name(const WorkTask *task);
const char *move_name(const WorkTask *task);
/* The words of a field of a task, joined: "callused, bare of a sample", each with its translation where the
 * language leads; NULL without. */
const char *task_words(Arena *arena, const Block *task, const Field *field, const Tongue *tongue);

#endif
