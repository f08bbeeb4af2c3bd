/* Protocols after inheritance.
 *
 * `written` is the block as it stands in the file; `effective` has every clause of base, practices and its
 * own text laid over each other (docs/language.md, "Inheritance"). An effective block is a block like any
 * other; its clauses know where they were written and what they replaced.
 */
#ifndef MODEL_PROTOCOL_H
#define MODEL_PROTOCOL_H

#include "model/nursery.h"

struct Protocol {
    Name name;
    const Block *written;
    const Block *effective;
    bool base;                /* only to build on */
    bool broken;              /* its inheritance could not be worked out */
    const Schedule *schedule; /* NULL for a base and for a broken one */
    const Block **stages;     /* of the effective block, in order */
    size_t stage_count;
    const Block **tasks; /* in the order of the schedule, behind them the schedule blocks of its settings */
    size_t task_count;   /* of tasks alone */
    const Clause **settings; /* the lines of those blocks: of the setting at task_count the first */
    int mark;                /* while inheritance is worked out: 0 not begun, 1 on the way, 2 done */
};

enum { PROTOCOL_CHAIN = 32 }; /* protocols based on each other */

/* Works out the effective block of every protocol of the nursery, and reports loops, clashes and unknown
 * names. */
void inheritance_resolve(Nursery *nursery);
/* One protocol without a base or practices that are known elsewhere: for an example. */
void inheritance_alone(Nursery *nursery, Protocol *protocol);

/* A limit's value as its protocol allows it. Sections first, then stages. NULL: there is none. */
const Clause *protocol_limit(const Protocol *protocol, const Field *field);
/* Its hold, take, treat … section; NULL. */
const Block *protocol_section(const Protocol *protocol, BlockKind kind);

/* Makes the schedule: stage lengths, timings, names of stages and tasks resolved (model/schedule.c). */
void schedule_make(Nursery *nursery, Protocol *protocol);

#endif
