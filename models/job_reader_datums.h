// What a job names of the solid that a part is made of. Internal to the reader.
#pragma once

#include "models/job_reading.h"

namespace holeward {

/// [[part.NAME.datum]]: what the bodies of the file show to measure from.
void ReadDatums(TableWalk& walk, PartRow& part, const PartSource& source, Side described);

/// [[part.NAME.face]]: the job's names of flats; the words of the part follow.
void ReadFaceNames(TableWalk& walk, PartRow& part, PartSource& source, Side described);

}  // namespace holeward
