/* Chances and differences of shares in the words of people who count plants. Private to src/write. */
#ifndef WRITE_ODDS_H
#define WRITE_ODDS_H

#include "base/arena.h"

/* 0.077 is "once in 13 times", 0.6 "6 times in 10"; under one in 2000 it says no more than that. */
const char *odds_text(Arena *arena, double chance);
/* -0.12 is "12 fewer", of 100; "3 more", "as many". */
const char *odds_points(Arena *arena, double difference);

#endif
