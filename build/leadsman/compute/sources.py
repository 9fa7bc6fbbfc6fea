"""The published sources behind the formulas: key to full reference.

A formula names its sources by these keys, and so does each row of tests/reference. The handbook
prints the list. Topic modules add theirs here, in alphabetical order of key.
"""

SOURCES: dict[str, str] = {
    "abyc-e11": (
        "American Boat and Yacht Council. E-11 AC and DC Electrical Systems on Boats. 2003. Table IX "
        "(conductors sized for 3 percent drop) and Table X (10 percent)."
    ),
    "acosta-2000": (
        "A. J. Acosta. Cavitation and cavitation types. In: Cavitation, chapter 2. 2000. Section 2.1.1."
    ),
    "ainslie-2010": ("M. A. Ainslie. Principles of Sonar Performance Modelling. Springer-Praxis, 2010."),
    "ainslie-mccolm-1998": (
        "M. A. Ainslie and J. G. McColm. A simplified formula for viscous and chemical absorption in "
        "sea water. Journal of the Acoustical Society of America 103(3), 1671-1672, 1998."
    ),
    "albersheim-1981": (
        "W. J. Albersheim. A closed-form approximation to Robertson's detection characteristics. "
        "Proceedings of the IEEE 69(7), 839, 1981."
    ),
    "apl-uw-tr-9407": (
        "Applied Physics Laboratory, University of Washington. APL-UW High-Frequency Ocean "
        "Environmental Acoustic Models Handbook. Technical Report 9407, 1994."
    ),
    "astm-b258": (
        "ASTM International. B258 Standard Specification for Standard Nominal Diameters and "
        "Cross-Sectional Areas of AWG Sizes of Solid Round Wires Used as Electrical Conductors. 2018."
    ),
    "bci-battery-table": (
        "Battery Council International. State of charge by open-circuit voltage and specific gravity at 12 "
        "V and 26.7 degC. Least voltage of the 15 s load test by temperature. n.d., as reproduced in "
        "vehicle service manuals of 2003 to 2009."
    ),
    "becker-1946": (
        "J. A. Becker, C. B. Green and G. L. Pearson. Properties and uses of thermistors - thermally "
        "sensitive resistors. Transactions of the American Institute of Electrical Engineers 65, "
        "711-725, 1946."
    ),
    "bilaniuk-wong-1993": (
        "N. Bilaniuk and G. S. K. Wong. Speed of sound in pure water as a function of temperature. "
        "Journal of the Acoustical Society of America 93(3), 1609-1612, 1993; erratum 99, 3257, 1996."
    ),
    "brekhovskikh-godin-1990": (
        "L. M. Brekhovskikh and O. A. Godin. Acoustics of Layered Media I: Plane and Quasi-Plane "
        "Waves. Springer, 1990."
    ),
    "brennen-1995": "C. E. Brennen. Cavitation and Bubble Dynamics. Oxford University Press, 1995.",
    "carey-evans-2011": (
        "W. M. Carey and R. B. Evans. Ocean Ambient Noise: Measurement and Theory. Springer, 2011."
    ),
    "cfr-33-183": (
        "U.S. Code of Federal Regulations. Title 33, part 183, subpart I: 183.425 and Table 5, 183.435, "
        "183.455. 2024."
    ),
    "chen-millero-1977": (
        "C.-T. Chen and F. J. Millero. Speed of sound in seawater at high pressures. Journal of the "
        "Acoustical Society of America 62(5), 1129-1135, 1977."
    ),
    "coates-1990": "R. F. W. Coates. Underwater Acoustic Systems. Macmillan, 1990.",
    "common-practice": "Common practice of the trade, no published source.",
    "coppens-1981": (
        "A. B. Coppens. Simple equations for the speed of sound in Neptunian waters. Journal of the "
        "Acoustical Society of America 69(3), 862-863, 1981."
    ),
    "cover-thomas-1991": ("T. M. Cover and J. A. Thomas. Elements of Information Theory. Wiley, 1991."),
    "de-kleer-williams-1987": (
        "J. de Kleer and B. C. Williams. Diagnosing multiple faults. Artificial Intelligence 32(1), "
        "97-130, 1987."
    ),
    "del-grosso-mader-1972": (
        "V. A. Del Grosso and C. W. Mader. Speed of sound in pure water. Journal of the Acoustical "
        "Society of America 52(5B), 1442-1446, 1972."
    ),
    "diebel-2006": (
        "J. Diebel. Representing Attitude: Euler Angles, Unit Quaternions, and Rotation Vectors. "
        "Stanford University, 2006."
    ),
    "doonan-2003": (
        "I. J. Doonan, R. F. Coombs and S. McClatchie. The absorption of sound in seawater in "
        "relation to the estimation of deep-water fish biomass. ICES Journal of Marine Science 60(5), "
        "1047-1055, 2003."
    ),
    "faa-ac43.13-1b": (
        "U.S. Federal Aviation Administration. AC 43.13-1B CHG 1, Acceptable Methods, Techniques and "
        "Practices - Aircraft Inspection and Repair, par. 11-66 and 11-67, Tables 11-7 to 11-9. 2001."
    ),
    "fisher-simmons-1977": (
        "F. H. Fisher and V. P. Simmons. Sound absorption in sea water. Journal of the Acoustical "
        "Society of America 62(3), 558-564, 1977."
    ),
    "fofonoff-millard-1983": (
        "N. P. Fofonoff and R. C. Millard Jr. Algorithms for computation of fundamental properties of "
        "seawater. UNESCO Technical Papers in Marine Science 44, 1983."
    ),
    "francois-garrison-1982": (
        "R. E. Francois and G. R. Garrison. Sound absorption based on ocean measurements. Parts I and "
        "II. Journal of the Acoustical Society of America 72(3), 896-907 and 72(6), 1879-1890, 1982."
    ),
    "held-karp-1962": (
        "M. Held and R. M. Karp. A dynamic programming approach to sequencing problems. Journal of "
        "the Society for Industrial and Applied Mathematics 10(1), 196-210, 1962."
    ),
    "horowitz-hill-2015": (
        "P. Horowitz and W. Hill. The Art of Electronics, 3rd edition. Cambridge University Press, 2015."
    ),
    "huffman-1952": (
        "D. A. Huffman. A method for the construction of minimum-redundancy codes. Proceedings of the "
        "IRE 40(9), 1098-1101, 1952."
    ),
    "iec-60028": (
        "International Electrotechnical Commission. IEC 60028, International standard of resistance for "
        "copper. 1925."
    ),
    "iec-60228": (
        "International Electrotechnical Commission. IEC 60228, Conductors of insulated cables, Table 3 "
        "(class 5 flexible conductors). 2004."
    ),
    "iec-61162-1": (
        "International Electrotechnical Commission. IEC 61162-1, Maritime navigation and "
        "radiocommunication equipment and systems - Digital interfaces - Single talker and multiple "
        "listeners (NMEA 0183). 2016."
    ),
    "ieee-176": (
        "Institute of Electrical and Electronics Engineers. ANSI/IEEE Std 176, IEEE Standard on "
        "Piezoelectricity. 1987."
    ),
    "iso-10133": (
        "International Organization for Standardization. ISO 10133, Small craft - Electrical systems - "
        "Extra-low-voltage d.c. installations, 7.3 to 7.7, Annex A. 2012."
    ),
    "iso-11898-2": (
        "International Organization for Standardization. ISO 11898-2, Road vehicles - Controller area "
        "network (CAN) - High-speed medium access unit. 2016."
    ),
    "iso-8820-3": (
        "International Organization for Standardization. ISO 8820-3, Road vehicles - Fuse-links - "
        "Fuse-links with tabs (blade type) Type C (medium), Type E (high current) and Type F "
        "(miniature). 2015."
    ),
    "jensen-2011": (
        "F. B. Jensen, W. A. Kuperman, M. B. Porter and H. Schmidt. Computational Ocean Acoustics, "
        "2nd edition. Springer, 2011."
    ),
    "kinsler-2000": (
        "L. E. Kinsler, A. R. Frey, A. B. Coppens and J. V. Sanders. Fundamentals of Acoustics, 4th "
        "edition. Wiley, 2000."
    ),
    "lamarche-2011": (
        "G. Lamarche, X. Lurton, A.-L. Verdier and J.-M. Augustin. Quantitative characterisation of "
        "seafloor substrate and bedforms using advanced processing of multibeam backscatter. "
        "Continental Shelf Research 31(2), S93-S109, 2011."
    ),
    "leroy-2008": (
        "C. C. Leroy, S. P. Robinson and M. J. Goldsmith. A new equation for the accurate calculation "
        "of sound speed in all oceans. Journal of the Acoustical Society of America 124(5), "
        "2774-2782, 2008."
    ),
    "lurton-2010": (
        "X. Lurton. An Introduction to Underwater Acoustics: Principles and Applications, 2nd "
        "edition. Springer, 2010."
    ),
    "mackenzie-1961": (
        "K. V. Mackenzie. Bottom reverberation for 530- and 1030-cps sound in deep water. Journal of "
        "the Acoustical Society of America 33(11), 1498-1504, 1961."
    ),
    "mackenzie-1981": (
        "K. V. Mackenzie. Nine-term equation for sound speed in the oceans. Journal of the Acoustical "
        "Society of America 70(3), 807-812, 1981."
    ),
    "marczak-1997": (
        "W. Marczak. Water as a standard in the measurements of speed of sound in liquids. Journal of "
        "the Acoustical Society of America 102(5), 2776-2779, 1997."
    ),
    "medwin-1975": (
        "H. Medwin. Speed of sound in water: a simple equation for realistic parameters. Journal of "
        "the Acoustical Society of America 58(6), 1318-1319, 1975."
    ),
    "medwin-clay-1998": (
        "H. Medwin and C. S. Clay. Fundamentals of Acoustical Oceanography. Academic Press, 1998."
    ),
    "mellen-1952": (
        "R. H. Mellen. The thermal-noise limit in the detection of underwater acoustic signals. "
        "Journal of the Acoustical Society of America 24(5), 478-480, 1952."
    ),
    "mitten-1960": (
        "L. G. Mitten. An analytic solution to the least cost testing sequence problem. Journal of "
        "Industrial Engineering 11, 17, 1960."
    ),
    "nec-210.20": (
        "National Fire Protection Association. NFPA 70, National Electrical Code, 210.20(A): "
        "overcurrent protection not less than 125 percent of the continuous load. 2011."
    ),
    "nec-table-8": (
        "National Fire Protection Association. NFPA 70, National Electrical Code, Chapter 9 Table 8, "
        "direct-current resistance at 75 degC. 2011."
    ),
    "nist-functions-2010": (
        "F. W. J. Olver, D. W. Lozier, R. F. Boisvert and C. W. Clark (editors). NIST Handbook of "
        "Mathematical Functions. Cambridge University Press, 2010."
    ),
    "ono-2020": (
        "K. Ono. A comprehensive report on ultrasonic attenuation of engineering materials, including "
        "metals, ceramics, polymers, fiber-reinforced composites, wood, and rocks. Applied Sciences "
        "10(7), 2230, 2020."
    ),
    "pattipati-alexandridis-1990": (
        "K. R. Pattipati and M. G. Alexandridis. Application of heuristic search and information "
        "theory to sequential fault diagnosis. IEEE Transactions on Systems, Man, and Cybernetics "
        "20(4), 872-887, 1990."
    ),
    "quinlan-1986": "J. R. Quinlan. Induction of decision trees. Machine Learning 1, 81-106, 1986.",
    "sae-j1127": (
        "SAE International. J1127 Low Voltage Battery Cable (with J378 and J1128): minimum conductor "
        "areas in circular mils. 2015."
    ),
    "sae-j537": (
        "SAE International. J537 Storage Batteries: cold-cranking current, 7.2 V after 30 s at -18 "
        "degC. 2016."
    ),
    "saunders-1981": (
        "P. M. Saunders. Practical conversion of pressure to depth. Journal of Physical Oceanography "
        "11(4), 573-574, 1981."
    ),
    "seabed-backscatter-general": (
        "General literature on high-frequency seabed backscatter, 1994 and after; ends recalled, not "
        "read from one table."
    ),
    "shannon-1948": (
        "C. E. Shannon. A mathematical theory of communication. Bell System Technical Journal 27, "
        "379-423 and 623-656, 1948."
    ),
    "simmonds-maclennan-2005": (
        "J. Simmonds and D. MacLennan. Fisheries Acoustics: Theory and Practice, 2nd edition. "
        "Blackwell, 2005."
    ),
    "smith-1956": (
        "W. E. Smith. Various optimizers for single-stage production. Naval Research Logistics "
        "Quarterly 3, 59-66, 1956."
    ),
    "steinhart-hart-1968": (
        "J. S. Steinhart and S. R. Hart. Calibration curves for thermistors. Deep-Sea Research 15, "
        "497-503, 1968."
    ),
    "urick-1983": ("R. J. Urick. Principles of Underwater Sound, 3rd edition. McGraw-Hill, 1983."),
    "venice-1958": (
        "Symposium on the Classification of Brackish Waters, Venice, 1958. The Venice System for the "
        "classification of marine waters according to salinity. Limnology and Oceanography 3(3), "
        "346-347, 1958."
    ),
    "wagner-pruss-1993": (
        "W. Wagner and A. Pruss. International equations for the saturation properties of ordinary "
        "water substance. Journal of Physical and Chemical Reference Data 22(3), 783-787, 1993."
    ),
    "wenz-1962": (
        "G. M. Wenz. Acoustic ambient noise in the ocean: spectra and sources. Journal of the "
        "Acoustical Society of America 34(12), 1936-1956, 1962."
    ),
}
