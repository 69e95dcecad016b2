/* What candidates of one rig hold, fast and never underrated: at the outlet that most depends on
 * the antennas, from tables. */
#pragma once

#include "core/study/advice-private.h"

G_BEGIN_DECLS

/* Sums are made in another order than the budget makes them, and in part from single precision:
 * the scales leave this much, as a ratio. */
#define DWN_SCALES_SLACK 1e-5

/* One station at one tuner of the outlet. A station that is held is held at every outlet, so one
 * outlet's bound bounds them all. */
typedef struct {
  guint at;              /* position among all rows, those of extras behind the others */
  guint j;               /* station of the goal, or of its extras */
  guint i;               /* of the plan */
  guint sink;            /* position among the outlet's sinks */
  double noise_mw;       /* of gear and tuner, with antennas at room temperature */
  double needed;         /* carrier over noise, a ratio */
  double never, sure;    /* what is not held at any σ below the one, and at every σ from the other */
  double fixed_db2, ambient_sd_db;
  DwnRipple ripple[DWN_RUNG_ANTENNAS]; /* what reflections add to that, by the antenna's own */
  double ambient;        /* external noise factor */
  double coef_mw[DWN_RUNG_ANTENNAS];  /* carrier for a line of 1 */
  double reach_mw[DWN_RUNG_ANTENNAS]; /* noise of the antenna at room temperature, for a feed of 1 */
  guint first_other, n_others;        /* among the scales' others */
  gboolean helped;       /* some other is a partner in a single-frequency network */
} DwnRow;

/* Another station as it disturbs, or helps, a row. */
typedef struct {
  guint i;
  gboolean helps;
  double coef_mw[DWN_RUNG_ANTENNAS];
} DwnOther;

/* A stage that some candidate might drive beyond its limit. */
typedef struct {
  double limit_mw;
  guint64 sinks;         /* of the outlet, that cannot live with it */
  double *coef_mw[DWN_RUNG_ANTENNAS]; /* [n_stations] */
  float *stage_mw[DWN_RUNG_ANTENNAS]; /* per configuration; on a rotator [n][n_stations looked at] */
  double least_mw[DWN_RUNG_ANTENNAS];
} DwnLiveStage;

typedef struct {
  const DwnAdvisor *advisor;
  const DwnRig *rig;
  const DwnBudgetBase *base;
  guint n_sinks;
  guint *sink;           /* those of the outlet */
  gboolean alike;        /* by which antenna a station comes is the same at every outlet */
  guint n_rows;          /* those of extras included */
  DwnShares *shares;     /* the advisor's: of one rig at a time */
  GArray *rows;          /* (element-type DwnRow): stations of the goal, those of one together */
  GArray *extra_rows;    /* and those of extras */
  GArray *others;        /* (element-type DwnOther) */
  GArray *stages;        /* (element-type DwnLiveStage) */
} DwnScales;

/* The scales of one rig at a time use the advisor's shares. */
void dwn_scales_init (DwnScales *scales, const DwnAdvisor *advisor, const DwnRig *rig);
void dwn_scales_clear (DwnScales *scales);

/* Of antenna @a at @configuration towards station @i, while station @at is judged. */
static inline double
dwn_scales_line (const DwnScales *scales, guint a, guint configuration, guint at, guint i)
{
  const DwnArmoury *armoury = &scales->advisor->armoury;

  if (scales->rig->turns && a == 0)
    return armoury->look_gain[dwn_armoury_look (armoury, configuration, at) + i]
           * armoury->feed[(gsize) configuration * armoury->n_stations + i];
  return (double) armoury->line[dwn_armoury_at (armoury, configuration) + i];
}
static inline double
dwn_scales_sd_db (const DwnScales *scales, guint a, guint configuration, guint i)
{
  const DwnArmoury *armoury = &scales->advisor->armoury;

  if (scales->rig->turns && a == 0)
    return armoury->look_sd_db[dwn_armoury_look (armoury, configuration, i) + i];
  return armoury->sd_db[dwn_armoury_at (armoury, configuration) + i];
}
/* Noise from outside through antenna @a, beyond what an antenna at room temperature brings. */
static inline double
dwn_scales_excess_mw (const DwnScales *scales, const DwnRow *row, guint a, guint configuration)
{
  const DwnArmoury *armoury = &scales->advisor->armoury;
  guint antenna = dwn_rig_antenna (scales->advisor, scales->rig, a, configuration);

  return row->reach_mw[a] * (row->ambient - 1.0)
         * armoury->feed[(gsize) antenna * armoury->n_stations + row->i];
}

/* The row's carrier over noise for one antenna alone, at most: others disturb by @other_noise_mw at
 * least and help by @help_mw at most. 0 where it cannot be held. */
double dwn_scales_most (const DwnScales *scales, const DwnRow *row, guint a, guint configuration,
                        double other_noise_mw, double help_mw);

/* Sinks that the candidate overloads while station @at is judged, a bit each; @at matters only with a
 * rotator. */
guint64 dwn_scales_overloaded (const DwnScales *scales, const guint *configuration, guint at);

/* The row's carrier over needed, at the worst phase, where it is held; otherwise 0. @antennas: a bit
 * for each of the rig's antennas that counts; others' only where their carrier is nothing beside. */
double dwn_scales_weigh (const DwnScales *scales, const DwnRow *row, guint antennas,
                         const guint *configuration);
/* The same at most, wherever the antennas look within their blocks (dwn_rig_block()). */
double dwn_scales_weigh_blocks (const DwnScales *scales, const DwnRow *row, guint antennas,
                                const guint *block);
/* Of one antenna, alone. */
double dwn_scales_weigh_block (const DwnScales *scales, const DwnRow *row, guint a, guint block);
static inline guint
dwn_scales_all (const DwnScales *scales)
{
  return (1u << scales->rig->n) - 1;
}
/* The antennas by which the row might come, a bit each: the strongest and those as strong. */
guint dwn_scales_strongest (const DwnScales *scales, const DwnRow *row, const guint *configuration);
/* Those of the first @n that might be, wherever they look within their blocks. */
guint dwn_scales_strongest_in (const DwnScales *scales, const DwnRow *row, guint n, const guint *block);
/* Its margin over σ, held or not. */
double dwn_scales_deviates (const DwnScales *scales, const DwnRow *row, const guint *configuration);

G_END_DECLS
