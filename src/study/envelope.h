/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file envelope.h
 * @brief What an item passes over the whole ranges of the mounts that it rides on, in a plane.
 */
#pragma once

#include "study/moves.h"
#include "study/seen.h"

/** mm. Chord of envelopes: they are within it, an outline that leans on the plane less so. */
#define TB_ENVELOPE_CHORD 0.2

/** mm. Of that, what steps of the motion may add: more where ranges are so many that steps must be
 * few, and then outside. */
#define TB_ENVELOPE_STEP 0.1

/** Freedoms of one item that an envelope is drawn of, at most. */
#define TB_ENVELOPE_FREEDOMS 6

/** Why an item has no envelope, or that it has one. */
typedef enum TbEnvelopeKind {
    TB_ENVELOPE_NONE,   /**< nothing moves it */
    TB_ENVELOPE_DRAWN,  /**< it has one */
    TB_ENVELOPE_BLENDS, /**< it rides on two mounts: how it gives way is not known */
    TB_ENVELOPE_MANY    /**< more freedoms than TB_ENVELOPE_FREEDOMS, or a range that is none */
} TbEnvelopeKind;

/** @param[out] move of the item against the vehicle, all mounts that it rides on */
TbEnvelopeKind tb_envelope_of(const TbStand *stand, size_t item, TbMove *move);

/** Of a settled form. The value is a TbSeen. */
TbEntry *
tb_envelope_need(TbCache *cache, const TbEntry *form, const TbMotion *motion, TbPlane plane);
