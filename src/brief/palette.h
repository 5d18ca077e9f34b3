#pragma once

#include <array>

#include "brief/canvas.h"

/// The colours of every drawing and page. Ink tones have a contrast of at least 4.5 on their own tint and on paper
/// (tested), neighbours in the task cycle differ in hue for the common colour-vision deficiencies, and every use
/// carries a word, a letter or a pattern as well: a grey print loses nothing.
namespace handrail::brief::palette {

inline constexpr Colour paper{0xffffff};
inline constexpr Colour ink{0x18212b};     ///< text and strong lines
inline constexpr Colour muted{0x4a5663};   ///< second-rank text
inline constexpr Colour rule{0x8a96a3};    ///< axis and box lines
inline constexpr Colour hair{0xd3d9df};    ///< grid
inline constexpr Colour lane{0xf5f6f8};    ///< lane ground
inline constexpr Colour dark{0x39435a};    ///< the station is in the Earth's shadow
inline constexpr Colour dusk{0xe3e6ee};    ///< the same, behind a lane
inline constexpr Colour sunlit{0xfdf6dc};  ///< daylight
inline constexpr Colour linked{0xd9ece8};  ///< coverage and other conditions that hold
inline constexpr Colour linked_ink{0x0d5a50};
inline constexpr Colour quiet{0xe7eaee};  ///< what the suits and tethers need: translating, checks, rests
inline constexpr Colour alarm{0xa3182b};  ///< hard end, findings; always with a word
inline constexpr Colour amber{0x8a5200};  ///< margin, cautions; always with a word
inline constexpr Colour amber_tint{0xfdf0d8};

/// A dark tone for bars with white letters and a pale one for blocks with ink on them.
struct Tone {
    Colour deep, tint;
};
/// Tasks take these in turn; the task's letter says which it is, not the colour.
inline constexpr std::array<Tone, 6> tasks{{{Colour{0x1d4f80}, Colour{0xdfeaf5}},
                                            {Colour{0x8c4310}, Colour{0xf9e8da}},
                                            {Colour{0x12645c}, Colour{0xdaefec}},
                                            {Colour{0x6b3a7d}, Colour{0xeee4f3}},
                                            {Colour{0x565c10}, Colour{0xeff0d4}},
                                            {Colour{0x8f2d50}, Colour{0xf8e0e8}}}};

}  // namespace handrail::brief::palette
