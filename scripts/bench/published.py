"""Where the instances come from, and what others have published on them.

The totals are as a public collection of results has transcribed them from the papers;
titles, and the pages of the methods' papers, are from memory.
"""

from __future__ import annotations

from typing import Final, NamedTuple

SETS: Final = {
    "BWMV": "Classes 1-6: Berkey & Wang, Two-dimensional finite bin-packing "
    "algorithms, JORS 38 (1987) 423-429; classes 7-10: Martello & Vigo, Exact solution "
    "of the two-dimensional finite bin packing problem, Management Science 44 (1998) "
    "388-399.",
    "BENG": "Bengtsson, Packing rectangular pieces - a heuristic approach, The "
    "Computer Journal 25 (1982) 353-357.",
    "CGCUT": "Christofides & Whitlock, An algorithm for two-dimensional cutting "
    "problems, Operations Research 25 (1977) 30-44; used as bin packing.",
    "GCUT": "Beasley, Algorithms for unconstrained two-dimensional guillotine cutting, "
    "JORS 36 (1985) 297-306; used as bin packing.",
    "NGCUT": "Beasley, An exact two-dimensional non-guillotine cutting tree search "
    "procedure, Operations Research 33 (1985) 49-64; used as bin packing.",
    "FURN_A": "Orders of a furniture maker: Macedo, Alves & Valerio de Carvalho, "
    "Arc-flow model for the two-dimensional guillotine cutting stock problem, "
    "Computers & Operations Research 37 (2010) 991-1001.",
    "VS2D_PS": "Pisinger & Sigurd, The two-dimensional bin packing problem with "
    "variable bin sizes and costs, Discrete Optimization 2 (2005) 154-167.",
    "Falkenauer": "Falkenauer, A hybrid grouping genetic algorithm for bin packing, "
    "Journal of Heuristics 2 (1996) 5-30.",
    "Scholl": "Scholl, Klein & Jürgens, BISON: a fast hybrid procedure for exactly "
    "solving the one-dimensional bin packing problem, Computers & Operations Research "
    "24 (1997) 627-645.",
    "Schwerin": "Schwerin & Wäscher, The bin-packing problem: a problem generator and "
    "some numerical experiments with FFD packing and MTP, International Transactions "
    "in Operational Research 4 (1997) 377-389.",
    "Waescher": "Wäscher & Gau, Heuristics for the integer one-dimensional cutting "
    "stock problem: a computational study, OR Spektrum 18 (1996) 131-144.",
    "Hard28": "Schoenfield, Fast, exact solution of open bin packing problems without "
    "linear programming, technical report (2002).",
    "VSBPP_HS": "Haouari & Serairi, Heuristics for the variable sized bin-packing "
    "problem, Computers & Operations Research 36 (2009) 2877-2884 (from memory).",
}
"""Each set, by the beginning of its name, and the paper that it comes from."""

METHODS: Final = {
    "P": "Parreño, Alvarez-Valdes, Oliveira & Tamarit, A hybrid GRASP/VND algorithm "
    "for two- and three-dimensional bin packing, Annals of Operations Research 179 "
    "(2010) 203-220.",
    "B": "Blum & Schmid, Solving the 2D bin packing problem by means of a hybrid "
    "evolutionary algorithm, Procedia Computer Science 18 (2013) 899-908.",
    "G": "Gonçalves & Resende, A biased random key genetic algorithm for 2D and 3D bin "
    "packing problems, International Journal of Production Economics 145 (2013) "
    "500-510.",
    "H": "Beyaz, Dokeroglu & Cosar, Robust hyper-heuristic algorithms for the offline "
    "oriented/non-oriented 2D bin packing problems, Applied Soft Computing 36 (2015) "
    "236-245 (the better of its two methods in each class).",
}


class ClassTotals(NamedTuple):
    """Sheets that published methods need for the 50 instances of a class of BWMV.

    They cut freely: a plan of cuts from edge to edge can at best equal them.
    """

    number: int
    parreno: int
    blum: int
    goncalves: int
    best: int
    """The sum of the best of them in each group of ten instances."""
    turned_beyaz: int
    turned_goncalves: int


BWMV_TOTALS: Final = (
    ClassTotals(1, 997, 997, 997, 997, 973, 972),
    ClassTotals(2, 124, 124, 124, 124, 124, 124),
    ClassTotals(3, 696, 697, 696, 696, 691, 675),
    ClassTotals(4, 123, 120, 122, 120, 124, 120),
    ClassTotals(5, 893, 895, 892, 892, 874, 861),
    ClassTotals(6, 112, 110, 110, 109, 113, 109),
    ClassTotals(7, 828, 828, 827, 827, 786, 758),
    ClassTotals(8, 834, 833, 834, 833, 788, 759),
    ClassTotals(9, 2130, 2130, 2130, 2130, 2119, 2119),
    ClassTotals(10, 504, 505, 502, 502, 505, 491),
)


def source_of(group: str) -> str | None:
    """Return the paper a set comes from; None for a set that is not known here."""
    fitting = [name for name in SETS if group.startswith(name)]
    return SETS[max(fitting, key=len)] if fitting else None
