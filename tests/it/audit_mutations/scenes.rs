//! Three small projects: one with every outcome and every kind of line, one with a divided lot and spare packs that make delivery
//! free, one with every treatment of fluid.

use std::collections::BTreeMap;

use rehouse::intake::read_texts;
use rehouse::project::Project;

/// Every outcome: on hand, to be ordered, tanks of known and unknown price, deferred, needs a decision (no vessel, or something unknown),
/// held. Two suppliers, spare pieces, a budget, labour.
pub fn every_outcome() -> Project {
    project(&[
        (
            "specimens.csv",
            "catalogNumber,length_mm,width_mm,height_mm,fluid,priority,posture,must_use,display,hazard,hold,current_fluid\n\
             A-01,60,20,20,ethanol-70,2,either,,,,,formalin-5\n\
             A-02,62,20,20,ethanol-70,1,either,,,,,\n\
             A-03,64,20,20,ethanol-70,3,either,,,,,\n\
             A-04,66,20,20,ethanol-70,3,either,,,,,\n\
             B-01,70,24,24,ethanol-70,3,either,JAR-70,,,,\n\
             B-02,100,45,45,ethanol-70,2,either,,,,,\n\
             C-01,300,90,120,formalin-5,2,either,,,,,\n\
             C-02,300,90,120,ethanol-70,3,either,,,,,\n\
             D-01,400,20,30,ethanol-70,3,as-set,,,,,\n\
             D-02,60,20,20,unknown,3,either,,,,,\n\
             E-01,60,20,20,ethanol-70,3,either,,,,on display,\n\
             E-02,60,20,20,ethanol-70,3,either,,,picric,,\n\
             F-01,40,15,15,ethanol-70,3,either,,flat,,,\n\
             F-02,41,15,15,ethanol-70,4,either,,flat,human,,\n",
        ),
        (
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_length_mm,inner_width_mm,inner_height_mm,material,closure,on_hand,\
             on_order,reserve,pack_price,pack_size,min_packs,order_limit,supplier,order_code\n\
             CORKED-60,cylinder,60,,,110,borosilicate,cork,9,,,,,,,,\n\
             JAR-50,cylinder,50,,,90,borosilicate,pp-cap-ptfe,2,,,9.60,4,,,Alder Glass,X1\n\
             JAR-70,cylinder,70,,,120,borosilicate,pp-cap-ptfe,1,2,2,,,,,,\n\
             JAR-90,cylinder,90,,,150,borosilicate,pp-cap-ptfe,,,,7.25,1,2,4,Birch Works,X3\n\
             TROUGH,rectangular,,60,40,80,borosilicate,pp-cap-ptfe,1,,,,,,,,\n",
        ),
        (
            "suppliers.csv",
            "supplier,delivery_charge,free_delivery_over,minimum_order\n\
             Alder Glass,7.50,60,5\n\
             Birch Works,5,,14\n",
        ),
        (
            "settings.toml",
            "budget = 900\nlitre_weight = 0.0007\nspare_pct = 10\nmax_vessel_types = 3\nmax_suppliers = 2\n\
             labour_in_budget = true\n[labour]\nminutes_per_move = 20\nrate_per_hour = 18.5\n\
             [fluid_price]\nethanol-70 = 4.1237\n",
        ),
    ])
}

/// A lot divided over several equal vessels, some of them free, with keys of several columns; spare packs make delivery free.
pub fn divided_lot() -> Project {
    project(&[
        (
            "specimens.csv",
            "catalogNumber,institutionCode,part,individualCount,max_vessels,length_mm,width_mm,height_mm,outline,fluid,\
             priority,tissue_ml,must_use\n\
             L-01,,,12,6,55,22,22,box,ethanol-70,3,,JAR-50\n\
             L-01,MUS,skin,6,3,55,22,22,box,ethanol-70,1,,JAR-50\n\
             L-02,,,1,1,60,25,25,rounded,ethanol-70,4,11,\n",
        ),
        (
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,body_height_mm,mouth_diameter_mm,material,closure,on_hand,\
             pack_price,pack_size,order_limit,supplier\n\
             JAR-50,cylinder,50,90,,,borosilicate,pp-cap-ptfe,4,4.00,1,40,Alder Glass\n\
             JAR-50,cylinder,,,,,,,,15.60,3,,\n\
             JAR-60,cylinder,60,120,100,40,borosilicate,pp-cap-ptfe,,5.00,1,,Alder Glass\n",
        ),
        ("suppliers.csv", "supplier,delivery_charge,free_delivery_over\nAlder Glass,9,26\n"),
        ("settings.toml", "[fluid_price]\nethanol-70 = 4.1237\n"),
    ])
}

/// Rows in other fluids and in weak ones: baths, several fillings, fluid that is kept, fluid on the shelf, loss and tax, spent fluid,
/// whole containers, unknown steps.
pub fn treated() -> Project {
    project(&[
        (
            "specimens.csv",
            "catalogNumber,length_mm,width_mm,height_mm,tissue_ml,fluid,current_fluid,current_strength_pct,\
             current_fluid_ml,location,must_use\n\
             T-01,60,30,30,40,ethanol-70,formalin-10,,120,Bay 1,JAR-70\n\
             T-02,60,30,30,40,ethanol-70,ethanol-70,45,90,Bay 1,JAR-70\n\
             T-03,60,30,30,20,ethanol-70,ethanol-70,68,110,Bay 2,JAR-70\n\
             T-04,60,30,30,30,nbf-10,formalin-5,,80.5,,JAR-70\n\
             T-05,60,30,30,30,ethanol-80,methyl-salicylate,,,Bay 2,JAR-70\n\
             T-06,60,30,30,30,glycerol-70,ethanol-70,,150,Bay 1,JAR-70\n\
             T-07,60,30,30,30,kaiserling-3,ethanol-70,,,Bay 2,JAR-70\n\
             T-08,60,30,30,30,borax-formalin-10,borax-formalin-10,,60,Bay 3,JAR-70\n\
             T-09,300,90,120,900,formalin-10,ethanol-70,,2500,Bay 3,\n",
        ),
        (
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
             JAR-70,cylinder,70,100,borosilicate,pp-cap-ptfe,9\n",
        ),
        ("fluid-stock.csv", "fluid,litres,location\nethanol-70,0.4,Bay 1\nethanol-96,0.1,Bay 9\nformalin-10,0.02,\n"),
        (
            "settings.toml",
            "reuse_fluid = \"top-up\"\nbudget = 400\n[fluid]\nloss_pct = 4\ntax_pct = 12.5\n\
             [disposal_price]\nalcohol = 0.8\nformaldehyde = 1.35\n\
             [containers]\nethanol-96 = \"0.5=6.25|2.5=22\"\nformaldehyde-37 = \"1=9\"\nglycerol-100 = \"0.25=4|1=11.5\"\n",
        ),
    ])
}

pub fn project(files: &[(&str, &str)]) -> Project {
    let files: BTreeMap<String, Vec<u8>> =
        files.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec())).collect();
    let reading = read_texts(&files, &[], false);
    reading.project.unwrap_or_else(|| panic!("the scene reads cleanly: {:#?}", reading.diagnostics))
}
