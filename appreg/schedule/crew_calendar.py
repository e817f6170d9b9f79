"""Days out under way: which crew is where on which day, how much time is left, and which crews are still free."""

from bisect import bisect_left, bisect_right

from msgspec import Struct, field

from appreg.schedule.crew_board import Area, CrewBoard, SiteNumbers
from appreg.schedule.crew_terms import CrewTerms


class Outing(Struct, eq=False, kw_only=True):
    """One crew on one day, in one area."""

    day: int
    crew: int
    people: int
    capacity: int
    """What all of them can do, minutes of one person."""
    within: int
    spare: int
    """Time left, minutes of one person; below 0 where the day takes longer than the crew has."""
    work: int = 0
    """Inspections placed on it, minutes of one person."""
    counts: dict[int, int] = field(default_factory=dict)
    """By number of the site: inspections placed there."""
    booked: frozenset[int] = frozenset()
    """Numbers of the sites to which the visit is promised."""
    members: set[int] = field(default_factory=set)
    """Numbers of the items inspected on it."""
    farthest: int = 0
    """The longest way from the base, minutes."""

    def joining(self, site: SiteNumbers) -> int:
        """Overhead that one more site brings, minutes of one person; 0 where the crew is there already."""
        if site.number in self.counts:
            return 0
        farther = max(0, site.site.travel_minutes - self.farthest)
        hop = self.within if self.counts else 0
        return self.people * (site.site.set_up_minutes + 2 * farther + hop)

    def has_time(self, site: SiteNumbers, minutes: int) -> bool:
        """An outing on which nothing is done yet always has: an inspection is never split."""
        return self.work == 0 or self.joining(site) + minutes <= self.spare

    def join(self, site: SiteNumbers) -> None:
        """Take a site into the round."""
        if site.number not in self.counts:
            self.spare -= self.joining(site)
            self.farthest = max(self.farthest, site.site.travel_minutes)
            self.counts[site.number] = 0

    def leave(self, site: SiteNumbers, sites: dict[int, SiteNumbers]) -> None:
        """Take a site at which nothing is done out of the round."""
        del self.counts[site.number]
        stops = [sites[number] for number in self.counts]
        self.counts, kept = {}, self.counts
        self.farthest = 0
        self.spare = self.capacity - self.work
        for stop in stops:
            self.join(stop)
        self.counts = kept


class Calendar:
    """Which crews are free on which day."""

    def __init__(self, terms: CrewTerms) -> None:
        self._crews = terms.crews
        self._start, self._end = terms.start.toordinal(), terms.end.toordinal()
        self._capacities = [
            {day.toordinal(): crew.capacity(day) for day in crew.minutes if crew.capacity(day) > 0}
            for crew in terms.crews
        ]
        self._free: dict[int, list[int]] = {}
        for number, crew in enumerate(terms.crews):
            for day in crew.minutes:
                if crew.capacity(day) > 0 and terms.start <= day <= terms.end:
                    self._free.setdefault(day.toordinal(), []).append(number)
        for ordinal in self._free:
            self._sort(ordinal)

    def _sort(self, day: int) -> None:
        self._free[day].sort(key=lambda number: (self._capacity(number, day), -number))

    def _capacity(self, crew: int, day: int) -> int:
        return self._capacities[crew].get(day, 0)

    def is_free(self, day: int) -> bool:
        """Tell whether a crew could still go out on a day."""
        return bool(self._free.get(day))

    def has_large(self, day: int) -> bool:
        """Tell whether one of the crews that can do most is still free on a day."""
        return self.is_free(day) and self.offers(day) == self.most_spared(day, 0)

    def offers(self, day: int) -> int:
        """What the largest crew that is still free can do on a day, minutes of one person; 0 where none is."""
        free = self._free.get(day)
        return self._capacity(free[-1], day) if free else 0

    def most_spared(self, day: int, spare: int) -> int:
        """The most that a crew can do on a day, taken or not, after so many minutes that all of it spends otherwise."""
        crews = range(len(self._crews))
        return max((self._capacity(each, day) - self._crews[each].people * spare for each in crews), default=0)

    def largest(self, day: int) -> int:
        """The crew that can do most on a day, of those that are free if any is."""
        free = self._free.get(day)
        everybody = range(len(self._crews))
        return free[-1] if free else max(everybody, key=lambda crew: (self._capacity(crew, day), -crew))

    def crews_on(self, day: int) -> int:
        """How many crews work on a day, taken or not."""
        return sum(self._capacity(each, day) > 0 for each in range(len(self._crews)))

    def working(self, day: int) -> list[tuple[int, int]]:
        """The crews that work on a day, taken or not: people, and what all of them can do, minutes of one person."""
        return [
            (crew.people, self._capacity(number, day))
            for number, crew in enumerate(self._crews)
            if self._capacity(number, day) > 0
        ]

    def roomiest(self, spare: int) -> list[int]:
        """Of every day and crew of the plan the minutes left after so many that all of it spends otherwise, most first."""
        left = [
            minutes - self._crews[number].people * spare
            for number, capacities in enumerate(self._capacities)
            for day, minutes in capacities.items()
            if self._start <= day <= self._end
        ]
        return sorted(left, reverse=True)

    def take(self, day: int, within: int, crew: int | None = None) -> Outing:
        """Send a crew out, the largest that is free, or the one given, free or not."""
        free = self._free.setdefault(day, [])
        if crew is None:
            crew = free.pop()
        elif crew in free:
            free.remove(crew)
        people, capacity = self._crews[crew].people, self._capacity(crew, day)
        return Outing(day=day, crew=crew, people=people, capacity=capacity, within=within, spare=capacity)

    def give_back(self, outing: Outing) -> None:
        """The crew stays at the base after all."""
        self._free[outing.day].append(outing.crew)
        self._sort(outing.day)

    def retake(self, outing: Outing) -> None:
        """Send the same crew out again."""
        self._free[outing.day].remove(outing.crew)


class AreaDays:
    """The days out of one area, in order, as each of its sites sees them."""

    def __init__(self, board: CrewBoard, area: Area, calendar: Calendar) -> None:
        self.board = board
        self.area = area
        self.calendar = calendar
        self.sites = {site.number: site for site in area.sites}
        self.outings: list[Outing] = []
        self.days: dict[int, list[int]] = {number: [] for number in self.sites}
        """By site: ordinals of the outings that could go there, ascending."""
        self.rounds: dict[int, list[Outing]] = {number: [] for number in self.sites}
        """By site: those outings in the same order."""

    def add(self, outing: Outing) -> None:
        """Count an outing in."""
        self.outings.append(outing)
        for number, site in self.sites.items():
            if outing.day in site.allowed or number in outing.booked:
                place = bisect_right(self.days[number], outing.day)
                self.days[number].insert(place, outing.day)
                self.rounds[number].insert(place, outing)

    def remove(self, outing: Outing) -> None:
        """Count an outing out."""
        self.outings.remove(outing)
        for number, rounds in self.rounds.items():
            place = bisect_left(self.days[number], outing.day)
            while place < len(rounds) and rounds[place].day == outing.day:
                if rounds[place] is outing:
                    del rounds[place], self.days[number][place]
                    break
                place += 1

    def open(self, day: int, crew: int | None = None) -> Outing:
        """Send a crew to this area on a day."""
        outing = self.calendar.take(day, self.area.within, crew)
        self.add(outing)
        return outing

    def close(self, outing: Outing) -> None:
        """Leave an outing out."""
        self.remove(outing)
        self.calendar.give_back(outing)
