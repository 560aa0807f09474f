"""A plan, record by record, as the file ``nesting-plan/1`` holds it.

Dumb records: nothing is checked here, so that a faulty plan can be loaded and its
faults named. All lengths are integer ticks; x runs along the stock's length, y across
its width, z through its thickness, from the reference corner (low x, low y). Field
names are the file's keys; a trailing underscore is dropped (`from_` is ``from``).
"""

from nesting.model.plan.asked import PlanBlank as PlanBlank
from nesting.model.plan.asked import PlanBuild as PlanBuild
from nesting.model.plan.asked import PlanNeed as PlanNeed
from nesting.model.plan.asked import PlanPart as PlanPart
from nesting.model.plan.asked import PlanRun as PlanRun
from nesting.model.plan.asked import PlanTake as PlanTake
from nesting.model.plan.bound import PlanBound as PlanBound
from nesting.model.plan.layout import Cut as Cut
from nesting.model.plan.layout import Layout as Layout
from nesting.model.plan.layout import Offer as Offer
from nesting.model.plan.layout import Piece as Piece
from nesting.model.plan.layout import PlanStock as PlanStock
from nesting.model.plan.layout import PlanTrim as PlanTrim
from nesting.model.plan.layout import PlanZone as PlanZone
from nesting.model.plan.layout import Setting as Setting
from nesting.model.plan.route import Movement as Movement
from nesting.model.plan.route import Operation as Operation
from nesting.model.plan.route import PlanRoute as PlanRoute
from nesting.model.plan.shop import PlanMill as PlanMill
from nesting.model.plan.shop import PlanMinutes as PlanMinutes
from nesting.model.plan.shop import PlanSaw as PlanSaw
from nesting.model.plan.shop import PlanSheetHaul as PlanSheetHaul
from nesting.model.plan.shop import PlanShop as PlanShop
from nesting.model.plan.store import Advice as Advice
from nesting.model.plan.store import Alternative as Alternative
from nesting.model.plan.store import PlanHardware as PlanHardware
from nesting.model.plan.store import Purchase as Purchase
from nesting.model.plan.store import RackSaving as RackSaving
from nesting.model.plan.store import Spare as Spare
from nesting.model.plan.way import PlanWay as PlanWay
from nesting.model.plan.whole import FORMAT as FORMAT
from nesting.model.plan.whole import Caution as Caution
from nesting.model.plan.whole import MadeBy as MadeBy
from nesting.model.plan.whole import Plan as Plan
from nesting.model.plan.whole import PlanJob as PlanJob
from nesting.model.plan.whole import PlanOrder as PlanOrder
from nesting.model.plan.whole import PlanUnplaced as PlanUnplaced
from nesting.model.plan.whole import Totals as Totals
from nesting.model.plan.whole import Violation as Violation
from nesting.model.plan.whole import Yield as Yield
