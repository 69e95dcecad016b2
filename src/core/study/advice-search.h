/* The search over one rig, as its two files share it. */
#pragma once

#include "core/study/advice-bounds.h"

G_BEGIN_DECLS

/* A station by which services might come. */
typedef struct {
  guint first, n;        /* its rows: one for each tuner */
  guint weight;          /* level that is lost with it; 0: others bring the same */
  guint brought_by;      /* a bit for each antenna that might bring it */
} DwnListed;

/* Members of a group that look into one block of aims. */
typedef struct {
  guint block, first, n;
} DwnRun;

typedef enum {
  DWN_QUESTION_HOLDS,
  DWN_QUESTION_MARGIN,
  DWN_QUESTION_EQUALS,
} DwnQuestion;

typedef struct {
  const DwnAdvisor *advisor;
  const DwnGoal *goal;
  DwnRig *rig;
  DwnBest *best;
  guint least;           /* candidates that hold less do not count */
  DwnScales scales;
  DwnSide side[DWN_RUNG_ANTENNAS];
  DwnGrouping grouping[DWN_RUNG_ANTENNAS];
  guint *member[DWN_RUNG_ANTENNAS];  /* configurations of the groups that are looked into */
  guint *widest[DWN_RUNG_ANTENNAS];  /* and how far each can turn at most, between equals */
  guint n_members[DWN_RUNG_ANTENNAS];
  DwnRun *run[DWN_RUNG_ANTENNAS];    /* the members by blocks of aims */
  guint n_runs[DWN_RUNG_ANTENNAS];
  DwnJudge judge;
  /* Of a combination of groups: */
  guint64 *all;          /* services that it might hold */
  guint level;
  DwnListed *list;          /* stations that might be held */
  guint n_listed;
  double *service;       /* [goal->n]: of the candidate on the scales carrier over needed */
  guint64 *held;         /* what it holds */
  guint64 *extras;       /* [n_extra_words]: and of extras */
  gboolean *station;     /* [goal->n_stations]: which stations */
  gboolean *keep;        /* the same: which must not be lost when an antenna turns */
  guint narrowest;       /* antenna */
  /* Configurations at which each antenna, turned either way, lost something last time. */
  struct {
    guint right, left;
  } wall[DWN_RUNG_ANTENNAS];
  guint64 *joined;       /* [n][n_words]: by the first so many groups of a combination */
  guint64 *passing;      /* [n_words]: for passing use */
  double least_ratio;    /* asked for, of carrier over needed */
  DwnQuestion question;
  gboolean improved;     /* start again: the groups were made for a worse best */
  guint looks;
  gboolean cancelled;
} DwnSearch;

static inline const DwnRow *
dwn_search_row_at (const DwnSearch *self, guint r)
{
  return &g_array_index (self->scales.rows, DwnRow, r);
}

static inline const guint64 *
dwn_search_carried_by (const DwnSearch *self, const DwnRow *row)
{
  return &self->goal->carried[(gsize) row->j * self->goal->n_words];
}

static inline gboolean
dwn_set_has (const guint64 *set, guint b)
{
  return (set[b / 64] >> b % 64 & 1) != 0;
}

/* Brings the station that failed nearer the front: it fails most often. */
static inline void
dwn_search_move_up (DwnSearch *self, guint at)
{
  DwnListed failed = self->list[at];

  self->list[at] = self->list[at / 2];
  self->list[at / 2] = failed;
}

static inline guint
dwn_search_best_level (const DwnSearch *self)
{
  return self->best->rig == NULL ? 0
         : dwn_goal_level (self->goal, self->best->merit.must, self->best->merit.like);
}

/* What a candidate has to hold to be of interest: more than the best, unless its margin or what
 * decides between equals is the question. */
static inline guint
dwn_search_need_level (const DwnSearch *self)
{
  guint more = self->question == DWN_QUESTION_HOLDS && self->best->rig != NULL ? 1 : 0;

  return MAX (MAX (self->least, 1), dwn_search_best_level (self) + more);
}

/* Of one candidate */

/* Sinks that it overloads, whatever station is judged. */
guint64 dwn_candidate_dead_sinks (const DwnSearch *self, const guint *configuration);
/* The best of the station's tuners through these antennas (a bit each), but for those overloaded. */
double dwn_candidate_weigh_station (const DwnSearch *self, const DwnListed *listed, guint antennas,
                                    const guint *configuration, guint64 dead);
/* The same at most, within blocks of aims. */
double dwn_candidate_weigh_station_in (const DwnSearch *self, const DwnListed *listed, guint antennas,
                                       const guint *block, guint64 dead);
/* Puts it on the scales. FALSE as soon as it is known not to hold @need; otherwise @merit says what
 * it holds, and its weakest margin. */
gboolean dwn_candidate_weigh (DwnSearch *self, const guint *configuration, guint need,
                              DwnMerit *merit);
/* What is noted as held of the candidate on the scales. */
void dwn_candidate_note_held (DwnSearch *self, const DwnRow *row, double ratio);
void dwn_candidate_forget_held (DwnSearch *self);
/* Have all its antennas a window of @enough_deg, in which they lose none that self->keep names? */
gboolean dwn_candidate_is_wide_enough (DwnSearch *self, const guint *candidate, guint enough_deg);
/* Of one that was weighed: might each of its antennas bring something? */
gboolean dwn_candidate_uses_all (const DwnSearch *self, const guint *configuration);
gboolean dwn_candidate_may_use_all (const DwnSearch *self, guint n, const guint *block);
/* How far @antenna in place @a can turn at most from each of its aims without losing what is its
 * @own. @turn_deg: [n_aims]. */
void dwn_candidate_turns_deg (const DwnSearch *self, guint a, guint antenna, const guint64 *own, guint *turn_deg);
guint dwn_candidate_most_extras (DwnSearch *self, const guint *configuration);
gboolean dwn_candidate_is_better (const DwnSearch *self, const DwnMerit *merit);
/* -1, 0, 1 by what is held and its margin. */
int dwn_candidate_compare_held (const DwnMerit *a, const DwnMerit *b);
/* Of one that was weighed: can it still be better than the best? */
gboolean dwn_candidate_can_win (DwnSearch *self, const guint *configuration, DwnMerit *merit);
/* The judge's word; makes it the best where it is. */
void dwn_candidate_ask (DwnSearch *self, const guint *configuration);

/* Stations by which the services of self->all may come. */
void dwn_search_list_stations (DwnSearch *self);
/* Fills the best's window, extras and cost. */
void dwn_search_complete_best (DwnSearch *self);

G_END_DECLS
