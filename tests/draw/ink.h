/* What a scene really paints, found on a recording surface. */
#pragma once

#include "draw/scene.h"

G_BEGIN_DECLS

DwnRect dwn_ink_of (const DwnScene *scene, DwnLayer layer);

/* Every layer paints something somewhere, and nothing outside the page. */
void dwn_assert_inside_page (const DwnScene *scene);

G_END_DECLS
