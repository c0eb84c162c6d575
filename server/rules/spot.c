#include "rules/spot.h"

bool spot_is_inside(int64_t offset_mm, int64_t spot_mm, int64_t clearance_mm)
{
	int64_t apart_mm = offset_mm > spot_mm ? offset_mm - spot_mm : spot_mm - offset_mm;

	return apart_mm < clearance_mm;
}
