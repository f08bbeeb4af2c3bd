/* Sites as calendars. */
#ifndef MODEL_SITE_H
#define MODEL_SITE_H

#include "model/nursery.h"

/* The calendar of a site; NULL gives the one on which nothing moves and nothing freezes. */
const Calendar *site_calendar(Nursery *nursery, const Block *site);
/* The site of a place; without a place or a site in it, the only site of the nursery; else NULL. */
const Block *site_of_place(const Nursery *nursery, const Block *place);

#endif
