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
    "albersheim-1981": (
        "W. J. Albersheim. A closed-form approximation to Robertson's detection characteristics. "
        "Proceedings of the IEEE 69(7), 839, 1981."
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
    "brekhovskikh-godin-1990": (
        "L. M. Brekhovskikh and O. A. Godin. Acoustics of Layered Media I: Plane and Quasi-Plane "
        "Waves. Springer, 1990."
    ),
    "brennen-1995": "C. E. Brennen. Cavitation and Bubble Dynamics. Oxford University Press, 1995.",
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
    "fofonoff-millard-1983": (
        "N. P. Fofonoff and R. C. Millard Jr. Algorithms for computation of fundamental properties of "
        "seawater. UNESCO Technical Papers in Marine Science 44, 1983."
    ),
    "francois-garrison-1982": (
        "R. E. Francois and G. R. Garrison. Sound absorption based on ocean measurements. Parts I and "
        "II. Journal of the Acoustical Society of America 72(3), 896-907 and 72(6), 1879-1890, 1982."
    ),
    "gelman-2013": (
        "A. Gelman, J. B. Carlin, H. S. Stern, D. B. Dunson, A. Vehtari and D. B. Rubin. Bayesian Data "
        "Analysis, third edition. CRC Press, 2013. Sections 2.4 and 3.4."
    ),
    "horowitz-hill-2015": (
        "P. Horowitz and W. Hill. The Art of Electronics, 3rd edition. Cambridge University Press, 2015."
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
    "kinsler-2000": (
        "L. E. Kinsler, A. R. Frey, A. B. Coppens and J. V. Sanders. Fundamentals of Acoustics, 4th "
        "edition. Wiley, 2000."
    ),
    "lamarche-2011": (
        "G. Lamarche, X. Lurton, A.-L. Verdier and J.-M. Augustin. Quantitative characterisation of "
        "seafloor substrate and bedforms using advanced processing of multibeam backscatter. "
        "Continental Shelf Research 31(2), S93-S109, 2011."
    ),
    "lurton-2010": (
        "X. Lurton. An Introduction to Underwater Acoustics: Principles and Applications, 2nd "
        "edition. Springer, 2010."
    ),
    "mellen-1952": (
        "R. H. Mellen. The thermal-noise limit in the detection of underwater acoustic signals. "
        "Journal of the Acoustical Society of America 24(5), 478-480, 1952."
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
    "simmonds-maclennan-2005": (
        "J. Simmonds and D. MacLennan. Fisheries Acoustics: Theory and Practice, 2nd edition. "
        "Blackwell, 2005."
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
    "wilson-1927": (
        "E. B. Wilson. Probable inference, the law of succession, and statistical inference. Journal of "
        "the American Statistical Association 22(158), 209-212, 1927."
    ),
}
