/* Everything that can be asked about by name: what the language knows, and what the nursery has named. */
#ifndef ANALYSIS_TOPIC_H
#define ANALYSIS_TOPIC_H

#include "model/finding.h"
#include "model/record.h"
#include "model/rule.h"

typedef enum TopicKind {
    TOPIC_FINDING,
    TOPIC_RULE,
    TOPIC_BLOCK,
    TOPIC_FIELD,
    TOPIC_WORD,
    TOPIC_UNIT,
    TOPIC_DERIVED,
    TOPIC_VERB,
    TOPIC_NAMED, /* a block of the nursery: a protocol, one of its tasks, a place … */
    TOPIC_KINDS
} TopicKind;
extern const char *const topic_kind_name[TOPIC_KINDS]; /* "record-line" */
extern const char *const topic_kind_many[TOPIC_KINDS]; /* "lines of records" */

typedef struct Topic {
    TopicKind kind;
    Slice name;
    const FindingInfo *finding; /* of these the one that the kind says */
    const Rule *rule;
    BlockKind block;
    const Field *field; /* WORD too: whose list it is in */
    const Unit *unit;
    Derived derived;
    Verb verb;
    const Block *named;
    const Block *within[2]; /* NAMED: what the block stands in, the outermost first; NULL */
} Topic;

typedef struct Topics {
    Topic *at;
    size_t count;
} Topics;

/* All there are, the language's own first. `nursery` has been finished. */
Topics topics_of(Arena *arena, const Nursery *nursery);

/* Up to `room` names like a misspelt one, the nearest first; gives how many. */
size_t topics_near(const Topics *topics, Slice typed, Slice *names, size_t room);

#endif
