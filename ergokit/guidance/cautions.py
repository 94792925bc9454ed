"""What must be said wherever the kit leaves the screen: on slides, on handouts, in the foot of a figure."""

from ergokit.guidance.verdicts import CAUTION

FOR_EDUCATION = (
    "For education. Not for planning an operation: port placement in a patient is the decision of the supervising surgeon "
    "under local policy."
)
CAUTIONS = (
    FOR_EDUCATION,
    "Cutting a box: sharp blade, cut away from yourself, keep children away.",
    "Only a cool LED near cardboard: fire.",
    "Count needles in and out. Practice instruments never go back to clinical use.",
    "A domed surface models no vessels, bladder or adhesions.",
    CAUTION,
)
