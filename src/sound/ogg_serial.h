#pragma once

#include <cstdint>
#include <string>

namespace fretloom {

/// Gives every page of an Ogg stream (RFC 3533) the serial number and renews the pages' checksums. The
/// encoder draws the number at random; with a fixed one equal sound gives equal bytes. Returns false,
/// and changes nothing behind the place, where the bytes are not Ogg pages.
constexpr std::uint32_t k_ogg_serial = 1;  ///< what encode() gives
bool set_ogg_serial(std::string& bytes, std::uint32_t serial);

}  // namespace fretloom
