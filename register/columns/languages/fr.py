"""French."""

CONCEPTS = """
number: numéro, num, n, no
code: code, identifiant
tag: repère, repere, rep, tag, repère moteur, repère fonctionnel, item, position, poste technique, repère équipement
motor: moteur, moteurs, mot
equipment: équipement, equip, machine, matériel, récepteur, appareil
asset: n équipement, no équipement, numéro équipement, code équipement, n inventaire, inventaire, no inventaire, code gmao, gmao, n gmao, immobilisation, numéro inventaire, n immobilisation
starter: démarreur, dém, départ moteur, depart
drive: variateur, variateur de vitesse, convertisseur de fréquence
description: désignation, libellé, description, fonction, dénomination, service, intitulé, désign
driven: machine entraînée, entraînée, charge, machine entrainee
area: zone, atelier, bâtiment, secteur, local, emplacement, localisation, unité, lieu, département, ligne, section atelier, situation
bus: tgbt, armoire, tableau, ccm, mcc, jeu de barres, alimenté par, alimentation, coffret, alimenté de, origine, tableau électrique, alim, poste
cubicle: tiroir, cellule, colonne, compartiment, départ, n départ, n tiroir, casier
power: puissance, puiss, kw, ch, cv, puissance utile, puis
current: courant, intensité, ampères, ampere, int, i
voltage: tension, volts, u
speed: vitesse, tr / min, tr/mn, tours, tours / min, vitesse de rotation, trs / min
frequency: fréquence, freq
poles: pôles, nombre de pôles, nb pôles, nb de pôles, polarité
phases: phases, nb phases, nombre de phases
rated: nominal, nominale, nom, assigné, assignée, nominaux, plaqué, plaque, plaque signalétique, signalétique
fullload: pleine charge, à pleine charge
lockedrotor: démarrage, rotor bloqué, dem
noload: à vide
ratio: rapport
torque: couple
breakdown: maximal couple, décrochage
efficiency: rendement, rend
powerfactor: facteur de puissance, cos phi, cosphi, cos
servicefactor: facteur de service
insulation: isolation, isolement, isolant
class: classe, cl
rise: échauffement
enclosure: indice de protection, degré de protection, ip, protection ip
frame: hauteur d'axe, taille de carcasse, carcasse, taille, ha, hauteur d axe
serial: n de série, numéro de série, n série, no de série, num série, n° de série, no série
maker: constructeur, fabricant, marque, fournisseur, fab
catalogue: référence, réf, ref catalogue, référence catalogue
type: type, genre, nature, modèle
method: mode de démarrage, type de démarrage, démarrage, mode démarrage, type démarrage, mode de dém, type départ, type de départ, mode dém
overload: relais thermique, thermique, protection thermique, relais, rt, surcharge, relais therm, relais de surcharge
setting: réglage, réglé, réglé à, calibrage, ajustage, regl, valeur de réglage
tripclass: classe de déclenchement, cl décl, classe décl
breaker: disjoncteur, disj, disjoncteur moteur
fuse: fusible, fusibles, fus, cartouche
protection: protection, protection amont, organe de protection, prot
instantaneous: magnétique, instantané, irm
interrupting: pouvoir de coupure, pdc
size: calibre, cal
minimum: mini, min
maximum: maxi, max
cable: câble, câbles, conducteur, liaison
length: longueur, long, lg
section: section, sect, section câble
fault: court-circuit, icc, ik, court circuit, cc
available: disponible, présumé, au point
withstand: tenue, tenue aux courts-circuits
transformer: transformateur, transfo
system: réseau
criticality: criticité, criticite, priorité, importance, classe abc
starts: démarrages, nb démarrages, nombre de démarrages, dém
perhour: par heure, / h, heure, h, horaire
ramp: rampe, rampe d'accélération, temps de rampe, accélération, rampe de démarrage, temps d'accélération, rampe d accélération
time: temps, durée
limit: limite, limitation
initial: initiale, initial
stop: arrêt, ralentissement
ambient: ambiante, ambiant, t ambiante
temperature: température, temp
altitude: altitude
inertia: inertie, moment d'inertie
duty: service type, type de service, régime
hazard: atex, zone atex, explosible
control: commande
notes: remarque, remarques, observation, observations, commentaire, commentaires, note, notes, obs, rq
date: date, jour, le
installed: installé, mise en service, installation, pose, mes, date de pose, installé le
status: état, statut, situation état
failure: panne, défaillance, avarie, défaut
happened: date panne, date de panne, date intervention, date d'intervention, date ot, date d'apparition, date de l'incident, survenu le, date demande, date di, date incident
reason: cause, motif, constat, symptôme, texte, descriptif, objet, libellé ot, texte ot, nature de la panne, description panne, libellé panne, compte rendu, constatation, description du défaut, travaux, libellé intervention
downtime: temps d'arrêt, durée d'arrêt, arrêt production, heures d'arrêt, durée arrêt, indisponibilité, durée panne, temps arrêt
order: ot, ordre de travail, n ot, bon de travail, bt, n bt, n° ot, di, no ot
measured: mesuré, mesurée, absorbé, relevé, relevée, mesure
bypass: bypass, by-pass, contournement
ct: tc, transformateur de courant, rapport tc
coupling: accouplement, transmission, entraînement
run: heures de marche, heures marche, heures de fonctionnement
year: an, par an, / an
capacitor: condensateur, condensateurs, compensation
mode: mode de défaillance
stock: stock, quantité, qté, magasin, qte, casier stock, en stock
bearing: roulement, roulements, rlt, palier, roulement avant, roulement arrière, roulement ca, roulement coa
weight: poids, masse
mounting: forme, montage, fixation, forme de construction
built: année, année de fabrication, année de construction, millésime
drawing: plan, schéma, n plan, folio, n schéma, n° plan, n° schéma
revision: indice, révision, relevé par, vérifié, mise à jour, date relevé, relevé le
purchase: commande n, centre de coût, garantie, n° commande
colour: couleur, teinte, peinture
lubrication: graisse, graissage, lubrification
space: résistance de réchauffage, réchauffage
vibration: vibration, vibrations, bruit, niveau sonore
rotation: sens de rotation
io: automate, adresse automate, adresse api, api, entrée, sortie
responsible: responsable, technicien, équipe, demandeur, intervenant, métier
gear: réducteur, rapport de réduction, poulie
flow: débit, hauteur manométrique, pression, hmt, puissance absorbée, p absorbée
efficiencyclass: classe de rendement, classe ie, classe d'efficacité, ie
"""
HEADINGS = """
fla_a: In, In (A), I nominal, Intensité, Intensité nominale, Courant nominal, I nom, Inom, Intensité plaque
power_kw: P (kW), Pn, P, Puissance, Puissance utile, Pu, P nom
motor_voltage_v: U (V), Un, Tension, U nom, Tension de service, Tension d'alimentation
speed_rpm: N (tr/min), Vitesse, tr/min, trs/min, N
power_factor: cos φ, cosφ, cos phi, Fp
efficiency_pct: η, Rendement
device_kind: Démarrage, Démarreur, Type départ, Type de départ, Départ moteur, Mode de démarrage
relay_set_a: Réglage thermique, Réglage relais, Relais thermique, Thermique, Réglage RT, Ir, Réglage Ir, Thermique réglé à, Réglage, Protection thermique
protection_rating_a: Calibre, Calibre disjoncteur, Fusible, Fusibles, Disjoncteur, Calibre protection, Calibre fusible, Protection (A)
protection_kind: Protection amont, Nature protection
cable_size: Section, Câble, Section câble, Type câble, Nature câble
cable_length_m: Longueur câble, Longueur, Long. câble, L câble
fault_current_ka: Icc, Icc max, Ik3, Icc (kA)
bus: Armoire, Tableau, TGBT, Alimenté par, CCM, Origine alimentation
locked_rotor_ratio: Id/In, Is/In, Courant de démarrage / nominal, ID/IN
locked_rotor_torque_pct: Cd/Cn
breakdown_torque_pct: Cm/Cn
starts_per_hour: Démarrages/h, Dém/h, Nb dém/h, Démarrages par heure
current_limit_xfla: Limitation de courant, Limite de courant, Limitation courant
initial_voltage_pct: Tension initiale, Tension de décollage
setting_recorded_on: Réglages relevés le, Date des réglages
load_kind: Machine entraînée, Type de machine, Machine
description: Équipement, Désignation, Libellé, Machine / fonction
motor: N° de série, N° série moteur
model: Référence démarreur, Type démarreur, Réf. démarreur, Réf. variateur
cause: Panne, Constat, Libellé OT, Objet OT
happened_on: Date panne, Date OT, Date d'arrêt
"""
WORDS = """
device_kind / across-the-line: direct, démarrage direct, DD, départ direct, direct 1 sens, direct 2 sens, contacteur, dir, plein tension, pleine tension, inverseur, direct inverseur
device_kind / star-delta: étoile-triangle, étoile/triangle, ET, E/T, Y/D, étoile triangle, Y/Δ, ET., Y-Δ, étoile-tri
device_kind / autotransformer: autotransformateur, autotransfo
device_kind / soft starter: démarreur progressif, démarreur ralentisseur, progressif, dém. progressif, démarreur électronique, électronique, softstarter, démarreur-ralentisseur, dém progressif
device_kind / drive: variateur, variateur de vitesse, VV, variateur de fréquence, convertisseur, convertisseur de fréquence, VEV, variation de vitesse
power_path / internal bypass: bypass interne, bypass intégré, avec bypass, contacteur de bypass
power_path / solid state: sans bypass, thyristors
protection_kind / inverse-time breaker: disjoncteur, disjoncteur magnétothermique, disj magnéto-thermique, disj. magnéto-thermique, magnétothermique, disjoncteur moteur, disj, disj MT, disjoncteur moteur MT
protection_kind / instantaneous breaker: disjoncteur magnétique, magnétique, disj. magnétique, magnétique seul, disj magnétique, disj M
protection_kind / fuse: fusible, fusibles, fusible gG, fusible aM, fusibles aM, fusibles gG, sectionneur fusible, sectionneur-fusibles
protection_kind / semiconductor fuse: fusible ultra-rapide, fusibles UR, UR
protection_kind / none: aucune, sans, néant
overload_place / device: variateur, interne, intégré, dans variateur, intégrée, dans démarreur, par variateur, interne variateur, interne démarreur, intégrée variateur
overload_place / relay: relais, relais thermique, thermique, RT, bilame, disjoncteur moteur
overload_place / thermistor: CTP, sonde CTP, thermistance, sondes CTP, sondes
overload_place / none: aucun, aucune, sans, néant
thermal_device / PTC thermistor: CTP, sondes CTP, sonde CTP, 3 CTP, thermistances
thermal_device / thermostat: PTO, bilames, thermostat
thermal_device / RTD: PT100, sondes PT100
thermal_device / none: aucune, sans, non, néant
motor_status / in service: en service, en marche, marche, actif, bon, en fonctionnement
motor_status / in store: en stock, magasin, stock, secours en stock, rechange
motor_status / failed: en panne, HS, hors service, en réparation, à réparer, grillé
motor_status / scrapped: réformé, rebut, déposé, ferraille, rebuté
criticality / critical: critique, vital
criticality / essential: essentiel, important, importante, essentielle
criticality / ordinary: ordinaire, normal, normale, secondaire, courant, non critique, courante
standby / none: aucun, non, sans
standby / installed: secours installé, oui, redondant
load_kind / centrifugal pump: pompe, pompe centrifuge, pompes, pompe de relevage
load_kind / positive-displacement pump: pompe volumétrique, pompe à vis, pompe doseuse, pompe à engrenages
load_kind / vacuum pump: pompe à vide
load_kind / slurry pump: pompe à boues, pompe boues
load_kind / deep-well pump: pompe de forage, pompe immergée, forage
load_kind / centrifugal fan: ventilateur, ventilateur centrifuge, extracteur, ventil
load_kind / axial fan: ventilateur axial, ventilateur hélicoïde
load_kind / blower: surpresseur, soufflante
load_kind / conveyor: convoyeur, transporteur, bande, convoyeur à bande, tapis, élévateur à godets
load_kind / screw conveyor: vis, vis sans fin, vis d'Archimède, vis de transport
load_kind / crusher: concasseur, broyeur à marteaux
load_kind / mill: broyeur, moulin
load_kind / mixer: mélangeur, malaxeur
load_kind / agitator: agitateur
load_kind / screw compressor: compresseur à vis
load_kind / reciprocating compressor: compresseur à pistons, compresseur à piston
load_kind / centrifugal compressor: compresseur centrifuge, turbocompresseur
load_kind / centrifuge: centrifugeuse
load_kind / hoist: palan, pont roulant, treuil, levage
load_kind / saw: scie
load_kind / other: autre
coupling / direct: direct, accouplement, manchon, accouplement élastique
coupling / belt: courroie, courroies
coupling / gear: réducteur, motoréducteur
coupling / chain: chaîne
coupling / fluid: coupleur, coupleur hydraulique
result / passed: bon, conforme, OK, satisfaisant
result / failed: mauvais, non conforme, NC
speed_need / fixed: fixe, constante
speed_need / variable: variable
speed_need / two-speed: deux vitesses, 2 vitesses, bi-vitesse, PV/GV
motor_type / cage: cage, asynchrone, à cage, cage d'écureuil
motor_type / wound rotor: rotor bobiné, à bagues, bagues
motor_type / synchronous: synchrone
motor_type / permanent magnet: aimants permanents, aimant permanent
motor_type / direct current: courant continu, CC
relay_reset / manual: manuel, manuelle
relay_reset / automatic: automatique, auto
control_scheme / hardwired: filaire, câblé, fil à fil
control_scheme / network: réseau, bus de terrain
device_place / indoor: intérieur, local électrique
device_place / outdoor: extérieur
device_place / indoor dusty: poussiéreux
device_place / indoor wet: humide
motor_place / indoor: intérieur
motor_place / outdoor: extérieur
motor_place / indoor dusty: poussiéreux
motor_place / indoor wet: humide
flag / yes: oui, o
flag / no: non
"""
BLANKS = """
not surveyed: inconnu, inconnue, non relevé, non relevée, à vérifier, à relever, non connu, nc, n.c., manquant, à compléter, ?, à définir, nr, n.r.
illegible: illisible, plaque illisible, plaque absente, plaque manquante, sans plaque, effacé, peint
not published: non communiqué, non indiqué
not applicable: sans objet, s.o., so, s/o, non applicable, non concerné
"""
PASSED = """
words: de, du, des, la, le, les, l, d, un, une, et, en, à, au, aux, par, pour, sur, sous, avec, valeur, valeurs, unité, données, info, dans, site
"""
MONTHS = """
months: jan, fev, mar, avr, mai, juin, juil, aou, sep, oct, nov, dec
months: janv, fevr, mars, avril, mai, jui, juillet, aout, sept, oct, nov, dec
"""
LINES = """
total: total, somme, sous total, total général, nombre de, puissance totale, puissance installée
group: arrivée, disjoncteur général, tgbt, armoire, tableau, ccm, bâtiment, atelier, zone, secteur, unité, ligne, station, local, poste
ditto: idem, id, voir ci dessus, comme ci dessus, même, voir dessus
empty: réserve, libre, vide, disponible
stores: rechange, rechanges, magasin, stock, moteurs de rechange, pièces de rechange, secours
attribute: caractéristique, attribut, propriété, paramètre, champ, libellé caractéristique, donnée
value: valeur
unit: unité, unite de mesure
"""
